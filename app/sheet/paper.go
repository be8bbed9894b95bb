package sheet

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// Paper composes the aftercare that a code on paper names: whom to call first,
// what is normal, the warning signs, then the lines in order of time. Of the
// practice it knows the numbers alone; name stands for the rest of it.
func Paper(lines []plan.AftercareLine, warnings []plan.Warning, p casefile.Practice, read casefile.Date, content string, b *evidence.Base) Sheet {
	x := &composer{p: p, pl: plan.Plan{Aftercare: lines, Warnings: warnings}, b: b}
	x.s = Sheet{Kind: Aftercare, Title: M(titles[Aftercare]), Issued: read, Content: content,
		Practice: Practice{Name: p.Name, Telephone: p.Telephone, EmergencyLine: p.EmergencyLine, EmergencyService: p.EmergencyService},
		Must:     Must{Phones: []string{p.Telephone, p.EmergencyLine}},
	}
	x.phoneBox()
	x.para(M("sheet.paper.numbers"), Ref{})
	phase := func(heading, intro, key string) {
		for _, l := range lines {
			if l.Phase == key {
				x.h2(heading)
				if intro != "" {
					x.para(M(intro), Ref{})
				}
				x.aftercareLines(key)
				return
			}
		}
	}
	phase("sheet.aftercare.normal", "sheet.aftercare.normal-intro", "now")
	for _, u := range []string{"emergency-now", "call-today", "call-soon", "mention-next-time"} {
		x.warnings(u)
	}
	x.untilSeen()
	phase("sheet.aftercare.first-days", "", "first-days")
	phase("sheet.aftercare.first-weeks", "", "first-weeks")
	phase("sheet.aftercare.life", "", "life")
	phase("sheet.aftercare.hygienist", "", "hygienist")
	x.sourceList()
	return x.s
}
