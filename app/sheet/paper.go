package sheet

import (
	"plainleaf/app/casefile"
	"plainleaf/app/evidence"
	"plainleaf/app/plan"
)

// OnPageOne reports whether an aftercare line is on the first page of the sheet, which is
// all that the code on paper carries.
func OnPageOne(l plan.AftercareLine) bool { return l.Phase == "now" }

// Paper composes what the code on paper names: the first page of the aftercare. Of the
// practice it knows the numbers alone; name stands for the rest of it.
func Paper(lines []plan.AftercareLine, warnings []plan.Warning, p casefile.Practice, read casefile.Date, content string, b *evidence.Base) Sheet {
	x := &composer{p: p, pl: plan.Plan{Aftercare: lines, Warnings: warnings}, b: b}
	x.s = Sheet{Kind: Aftercare, Title: M(titles[Aftercare]), Issued: read, Content: content,
		Practice: Practice{Name: p.Name, Telephone: p.Telephone, EmergencyLine: p.EmergencyLine, EmergencyService: p.EmergencyService},
		Must:     Must{Phones: []string{p.Telephone, p.EmergencyLine}},
	}
	x.add(Block{Kind: Paragraph, Style: Lead, Text: M("sheet.paper.numbers")})
	x.add(Block{Kind: Paragraph, Style: Kicker, Text: M("sheet.aftercare.kicker")})
	x.urgencies()
	x.normal()
	return x.s
}
