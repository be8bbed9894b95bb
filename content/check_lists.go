package content

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
)

func (c *check) material() {
	ids(c, "materials", c.b.Materials, func(m evidence.MaterialRule) string { return string(m.Key) }, kebab)
	for i, m := range c.b.Materials {
		p := fmt.Sprintf("materials[%d]", i)
		c.ref(p+".lab", m.Lab, "working-days")
		c.ref(p+".thickness", m.Thickness, length...)
		c.ref(p+".thinnest", m.Thinnest, length...)
	}
}

func (c *check) risk() {
	ids(c, "risks", c.b.Risks, func(r evidence.Risk) string { return r.Key }, kebab)
	for i, r := range c.b.Risks {
		p := fmt.Sprintf("risks[%d]", i)
		c.refs(p+".figures", r.Figures)
		if !kebab.MatchString(r.Then) {
			c.add("CONTENT-KEY", p+".then", "what is done when the risk comes up, in lower case with hyphens, is missing")
		}
		if r.Planned && len(r.Rates) > 0 {
			c.add("CONTENT-RATE", p+".rates", "what is planned is certain and has no rate")
		}
		for j, x := range r.Rates {
			c.rate(fmt.Sprintf("%s.rates[%d]", p, j), x)
		}
	}
}

func (c *check) modifier() {
	ids(c, "modifiers", c.b.Modifiers, func(m evidence.Modifier) string { return m.ID }, kebab)
	for i, m := range c.b.Modifiers {
		p := fmt.Sprintf("modifiers[%d]", i)
		if m.Teeth != "" {
			c.one(p+".teeth", m.Teeth, "back")
			if m.Multiplier != "" {
				c.add("CONTENT-MODIFIER", p, "what stands for every back tooth is told in words")
			}
		}
		c.one(p+".direction", m.Direction, "worse", "better", "unclear", "stain-only")
		// A range from a spread may reach below 1: the studies leave that open.
		if f := c.ref(p+".multiplier", m.Multiplier, "ratio"); f != nil && (f.Value <= 1 || f.Low < 1 && f.Spread == 0 || m.Direction != "worse" || len(m.Endpoints) == 0) {
			c.add("CONTENT-MODIFIER", p, "a multiplier is over 1, makes something worse and names its endpoints")
		}
		c.routesIn(p+".routes", m.Routes)
		for j, k := range m.Materials {
			if !slices.ContainsFunc(c.b.Materials, func(r evidence.MaterialRule) bool { return r.Key == k }) {
				c.add("CONTENT-KEY-UNKNOWN", fmt.Sprintf("%s.materials[%d]", p, j), "there is no material %q", k)
			}
		}
		if m.Multiplier == "" && len(m.Routes)+len(m.Materials) > 0 {
			c.add("CONTENT-MODIFIER", p, "only a multiplier is limited to what its studies looked at; words are told everywhere")
		}
		for j, e := range m.Endpoints {
			c.one(fmt.Sprintf("%s.endpoints[%d]", p, j), e, "in-place", "nothing-needed")
		}
		c.refs(p+".figures", m.Figures)
	}
}

func (c *check) upkeep() {
	ids(c, "upkeep", c.b.Upkeep, func(u evidence.UpkeepRule) string { return u.Key }, kebab)
	for i, u := range c.b.Upkeep {
		p := fmt.Sprintf("upkeep[%d]", i)
		c.routesIn(p+".routes", u.Routes)
		c.one(p+".from", u.From, "end", "fit")
		c.intervals(p, u)
		c.ref(p+".first_risk", u.FirstRisk, span...)
		c.ref(p+".every", u.Every, span...)
		c.ref(p+".every_risk", u.EveryRisk, span...)
		c.refs(p+".figures", u.Figures)
		if u.Appliance != "" {
			c.one(p+".appliance", u.Appliance, Appliances()...)
		}
		if (u.From == "fit") && u.Appliance == "" {
			c.add("CONTENT-UPKEEP", p+".from", "only an appliance is fitted")
		}
		if (len(u.Risk) > 0) != (u.FirstRisk != "" || u.EveryRisk != "" || len(u.YearsRisk) > 0) {
			c.add("CONTENT-UPKEEP", p+".risk", "risk findings and risk intervals go together")
		}
		for j, a := range u.AgeBands {
			c.one(fmt.Sprintf("%s.age_bands[%d]", p, j), a, bands...)
		}
	}
}

// intervals checks how often a rule asks for something: a first date and an interval,
// or for recalls an interval for each year, the last for all that follow.
func (c *check) intervals(p string, u evidence.UpkeepRule) {
	if u.Recall != (len(u.Years) > 0) || u.Recall == (u.First != "") || !u.Recall && len(u.YearsRisk) > 0 {
		c.add("CONTENT-UPKEEP", p+".years", "recalls have an interval for each year, other rules a first date")
	}
	for _, years := range [][]string{u.Years, u.YearsRisk} {
		last := 0.0
		for j, id := range years {
			f := c.ref(fmt.Sprintf("%s.years[%d]", p, j), id, "months")
			if f != nil && f.Value < last {
				c.add("CONTENT-UPKEEP", fmt.Sprintf("%s.years[%d]", p, j), "quiet years make recalls rarer, never more frequent")
			}
			if f != nil {
				last = f.Value
			}
		}
	}
	c.ref(p+".first", u.First, span...)
}

func (c *check) line() {
	ids(c, "lines", c.b.Lines, func(l evidence.Line) string { return l.Key }, kebab)
	order := map[string]bool{}
	for i, l := range c.b.Lines {
		p := fmt.Sprintf("lines[%d]", i)
		c.one(p+".phase", l.Phase, evidence.Phases()...)
		c.routesIn(p+".routes", l.Routes)
		c.refs(p+".figures", l.Figures)
		c.refs(p+".based_on", l.BasedOn)
		if l.Appliance != "" {
			c.one(p+".appliance", l.Appliance, Appliances()...)
		}
		for j, a := range l.AgeBands {
			c.one(fmt.Sprintf("%s.age_bands[%d]", p, j), a, bands...)
		}
		k := fmt.Sprintf("%s %d", l.Phase, l.Order)
		if order[k] || l.Order <= 0 {
			c.add("CONTENT-ORDER", p+".order", "order %d is taken in phase %q or not above 0", l.Order, l.Phase)
		}
		order[k] = true
	}
}

// units are those of the times of each urgency, so that its heading names the longest.
var units = map[string]evidence.Unit{"emergency-now": "minutes", "call-today": "hours", "call-soon": "working-days", "tell-soon": "weeks"}

func (c *check) warning() {
	ids(c, "warnings", c.b.Warnings, func(w evidence.Warning) string { return w.Key }, kebab)
	urgencies := evidence.Urgencies()
	last, rank := 0, 0
	limit := map[string]float64{}
	for _, w := range c.b.Warnings {
		if f := c.figures[w.Within]; f != nil {
			limit[w.Urgency] = max(limit[w.Urgency], f.High)
		}
	}
	for i, w := range c.b.Warnings {
		p := fmt.Sprintf("warnings[%d]", i)
		c.one(p+".urgency", w.Urgency, urgencies...)
		c.routesIn(p+".routes", w.Routes)
		f := c.ref(p+".within", w.Within, units[w.Urgency])
		c.refs(p+".figures", w.Figures)
		if len(w.Figures) > 1 {
			c.add("CONTENT-WARNING", p+".figures", "the words of a sign name one number at most")
		}
		if w.Appliance != "" {
			c.one(p+".appliance", w.Appliance, Appliances()...)
		}
		if r := slices.Index(urgencies, w.Urgency); w.Order <= last || r < rank {
			c.add("CONTENT-ORDER", p+".order", "warning signs stand most urgent first, with growing order")
		} else {
			rank = r
		}
		last = w.Order
		if f == nil && w.Urgency != "emergency-now" {
			c.add("CONTENT-WARNING", p+".within", "every sign but an emergency has its time")
		}
		// What can be taken out may wait a little, with a time of its own.
		if w.Urgency == "tell-soon" && slices.ContainsFunc(strings.Split(w.Key, "-"), urgentWord) && (w.Appliance == "" || f == nil || f.High >= limit[w.Urgency]) {
			c.add("CONTENT-WARNING", p+".urgency", "what is loose, lost, high or swollen is never left to the last urgency")
		}
	}
}

// country checks that each code has one row, one row is for the rest, and the lines on
// toothpaste are those that the rows name.
func (c *check) country() {
	ids(c, "countries", c.b.Countries, func(x evidence.Country) string { return x.Key }, kebab)
	lines, named, seen := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, l := range c.b.Lines {
		lines[l.Key] = l.ByCountry
	}
	rest := 0
	for i, x := range c.b.Countries {
		p := fmt.Sprintf("countries[%d]", i)
		if len(x.Codes) == 0 {
			rest++
		}
		if (x.Emergency == "") != (len(x.Codes) == 0) || strings.Trim(x.Emergency, "0123456789") != "" {
			c.add("CONTENT-COUNTRY", p+".emergency", "%q is no emergency number; the rest of the world has none", x.Emergency)
		}
		for j, code := range x.Codes {
			if seen[code] || !slices.Contains(casefile.Countries(), code) {
				c.add("CONTENT-COUNTRY", fmt.Sprintf("%s.codes[%d]", p, j), "%q is no code of a country or has a row already", code)
			}
			seen[code] = true
		}
		if !lines[x.Paste] {
			c.add("CONTENT-KEY-UNKNOWN", p+".paste", "there is no aftercare line by country %q", x.Paste)
		}
		named[x.Paste] = true
	}
	if rest != 1 {
		c.add("CONTENT-COUNTRY", "countries", "one row, without codes, is for all other countries; there are %d", rest)
	}
	for i, l := range c.b.Lines {
		if l.ByCountry && !named[l.Key] {
			c.add("CONTENT-UNUSED", fmt.Sprintf("lines[%d]", i), "no country names line %q", l.Key)
		}
	}
}

// urgentWord reports a word of a warning's key that says it cannot wait.
func urgentWord(word string) bool {
	return slices.Contains([]string{"loose", "lost", "off", "high", "swelling", "swollen", "swallowed", "locked", "knocked", "broken"}, word)
}

func (c *check) priority() {
	ids(c, "priorities", c.b.Priorities, func(x evidence.Priority) string { return x.Key }, kebab)
	for i, x := range c.b.Priorities {
		c.one(fmt.Sprintf("priorities[%d].fact", i), x.Fact, "removal", "visits", "reversible", "colour", "money", "expectations", "dates")
	}
}

func (c *check) enamel() {
	teeth := map[casefile.Tooth]bool{}
	for i, e := range c.b.Enamel {
		p := fmt.Sprintf("enamel[%d]", i)
		for j, t := range e.Teeth {
			if teeth[t] || !t.Valid() {
				c.add("CONTENT-VALUE", fmt.Sprintf("%s.teeth[%d]", p, j), "tooth %v is not a tooth or has a row already", t)
			}
			teeth[t] = true
		}
		c.must(p+".cervical", e.Cervical, length...)
		c.must(p+".middle", e.Middle, length...)
		c.must(p+".incisal", e.Incisal, length...)
		c.ref(p+".proximal", e.Proximal, length...)
	}
}

func (c *check) tab() {
	if c.b.TabOrigin == "" {
		c.add("CONTENT-MISSING", "tab_origin", "the table of shade tabs needs a stated origin")
	}
	tabs := map[casefile.Shade]bool{}
	for i, t := range c.b.Tabs {
		if tabs[t.Shade] || !slices.Contains(casefile.Tabs(), t.Shade) || t.L <= 0 || t.L > 100 {
			c.add("CONTENT-VALUE", fmt.Sprintf("tabs[%d]", i), "%q is not a shade tab, stands twice or has no lightness between 0 and 100", t.Shade)
		}
		tabs[t.Shade] = true
		if t.MoreNeeded && len(t.HiddenBy) == 0 {
			c.add("CONTENT-VALUE", fmt.Sprintf("tabs[%d].more_needed", i), "more than what?")
		}
		for j, id := range t.HiddenBy {
			c.ref(fmt.Sprintf("tabs[%d].hidden_by[%d]", i, j), id, "mm")
		}
		c.refs(fmt.Sprintf("tabs[%d].hidden_by", i), t.HiddenBy)
	}
	for _, s := range casefile.Tabs() {
		if !tabs[s] {
			c.add("CONTENT-MISSING", "tabs", "tab %s is missing", s)
		}
	}
}

func (c *check) masking() {
	if !slices.ContainsFunc(c.b.Risks, func(r evidence.Risk) bool { return r.Key == c.b.ShowRisk }) {
		c.add("CONTENT-MISSING", "show_risk", "%q is not the key of a risk", c.b.ShowRisk)
	}
	ids(c, "masking", c.b.Masking, func(m evidence.MaskStep) string { return m.Key }, kebab)
	from := math.Inf(-1)
	for i, m := range c.b.Masking {
		p := fmt.Sprintf("masking[%d]", i)
		c.must(p+".from", m.From, "shade-steps")
		c.must(p+".space", m.Space, length...)
		c.routesIn(p+".routes", m.Routes)
		if f := c.figures[m.From]; f != nil {
			if f.Value <= from {
				c.add("CONTENT-ORDER", p+".from", "masking steps go from lighter to darker")
			}
			from = f.Value
		}
	}
}
