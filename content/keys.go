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
		for _, e := range f.Effects {
			for _, a := range e.Actions {
				add("action", a)
			}
			appliance(e.Appliances...)
			if !f.Private && e.Level.Rank() >= evidence.LevelFirst.Rank() {
				add("waitfor", f.Key)
			}
		}
	}
	for _, c := range b.Changes {
		add("change", c.Key, "name", "what", "limit")
		if !c.TellOnly {
			add("change", c.Key, "if-no")
		}
		for _, w := range c.When {
			add("trigger", w.Trigger)
			add("often", w.Often)
		}
	}
	for _, r := range b.Routes {
		add("route", string(r.Key), "name", "what", "takes", "adds", "good", "hard", "living", "lasts", "lightest")
		add("undo", r.Reversible)
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
		add("risk", r.Key)
		for _, x := range r.Rates {
			add("risk.often", x.Words)
		}
	}
	for _, a := range b.Anchors {
		add("unknown", a.Unknown)
	}
	for _, u := range b.Upkeep {
		add("upkeep", u.Key, "name", "what")
		appliance(u.Appliance)
	}
	for _, l := range b.Lines {
		add("aftercare", l.Key)
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
	for _, m := range b.Masking {
		add("mask", m.Key)
	}
	out := make([]string, 0, len(set))
	for k := range set {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
