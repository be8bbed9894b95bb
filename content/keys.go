package content

import (
	"slices"

	"plainleaf/app/evidence"
)

// Keys lists the ids of the messages that wordings must have for this data,
// sorted, each once. It follows the "Words:" comments of package evidence.
//
// Complexity: one loop for each list of the data, so that the words a list needs can
// be compared with those comments in one place.
//
//gocyclo:ignore
func Keys(b *evidence.Base) []string {
	set := map[string]bool{}
	add := func(prefix, key string, parts ...string) {
		if key == "" {
			return
		}
		if len(parts) == 0 {
			set[prefix+"."+key] = true
		}
		for _, p := range parts {
			set[prefix+"."+key+"."+p] = true
		}
	}
	appliance := func(keys ...string) {
		for _, k := range keys {
			add("appliance", k, "name")
		}
	}
	for _, f := range b.Findings {
		add("finding", f.Key, "name", "say")
		if f.Waiting {
			add("finding", f.Key, "waiting")
		}
		for _, e := range f.Effects {
			for _, a := range e.Actions {
				add("action", a)
			}
			appliance(e.Appliances...)
			if !f.Private && e.Level.Rank() >= evidence.LevelFirst.Rank() {
				add("waitfor", f.Key)
				add("waitfor", f.Key, "you-do")
			}
		}
	}
	for _, c := range b.Cares {
		add("care", c.Key, "name", "what")
		for _, may := range c.May {
			add("care", may, "if")
		}
		if c.Kind == evidence.CareTreatment {
			add("care", c.Key, "instead")
		}
		for _, v := range c.Visits {
			if !slices.ContainsFunc(b.Cares, func(x evidence.Care) bool { return x.Key == v.Purpose }) { // else it has the words of the care
				add("visit", v.Purpose, "name", "what")
			}
		}
	}
	for _, item := range evidence.Items() {
		add("money", item)
	}
	for _, c := range b.Changes {
		add("change", c.Key, "name", "limit")
		if c.Told() {
			add("change", c.Key, "what")
		} else {
			add("change", c.Key, "when", "if-no")
			if c.Alike != "" {
				add("alike", c.Alike, "limit", "if-no")
			}
			if c.TakesAny() || c.Removes == "gum" {
				add("change", c.Key, "risk")
			}
		}
		for _, w := range c.When {
			add("often", w.Often)
		}
	}
	for _, r := range b.Routes {
		add("route", string(r.Key), "name", "what", "good", "lightest")
		add("gives", r.Gives)
		add("takes", r.Takes)
		add("lasts", r.Lasts)
		add("downside", r.Downside)
		if r.DownsideRisk != "" {
			add("downside", r.Downside+"-often")
		}
		add("living", r.Living)
		add("sheet.options.undo", r.Reversible)
		if r.Whitens() {
			add("route", string(r.Key), "instead")
		}
		add("undo", r.Reversible)
		add("sheet.undo", r.Reversible, "say", "short")
		add("numbing", r.Numbing)
		appliance(r.Appliances...)
		for _, v := range r.Visits {
			add("visit", v.Purpose, "name", "what")
			add("why", v.GapWhy)
			add("why", v.RepeatWhy)
		}
	}
	for _, m := range b.Materials {
		add("material", string(m.Key), "name")
	}
	for _, r := range b.Risks {
		add("risk", r.Key, "name")
		add("risk.then", r.Then)
		for _, x := range r.Rates {
			add("risk.often", x.Words)
		}
	}
	for _, a := range b.Anchors {
		add("unknown", a.Unknown)
	}
	for _, u := range b.Upkeep {
		add("upkeep", u.Key, "name")
		appliance(u.Appliance)
	}
	for _, l := range b.Lines {
		switch l.Phase {
		case "hygienist":
			add("aftercare", l.Key, "not", "instead")
		case "now":
			add("aftercare", l.Key, "name")
			fallthrough
		default:
			add("aftercare", l.Key)
		}
		if l.Phase == "life" {
			add("aftercare.about", l.Topic)
		}
		appliance(l.Appliance)
	}
	for _, w := range b.Warnings {
		add("warning", w.Key, "sign", "self")
		add("urgency", w.Urgency)
		appliance(w.Appliance)
	}
	for _, p := range b.Priorities {
		add("priority", p.Key, "name")
	}
	out := make([]string, 0, len(set))
	for k := range set {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
