package veneer

// zoneExists lets every well-formed name pass: the browser build carries no
// table of zones.
func zoneExists(string) bool { return true }
