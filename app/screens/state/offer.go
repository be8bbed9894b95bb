package state

import (
	"plainleaf/app/casefile"
	"plainleaf/app/fault"
	"plainleaf/app/produce"
	"plainleaf/i18n"
)

// Offer is a practice file that was read and waits for a yes, or that could not be
// read and waits to be mended.
type Offer struct{ p *Practice }

// Offered is a practice file that waits for a yes; nil for none.
func (o Offer) Offered() *casefile.Practice { return o.p.offered }

// Rejected is a practice file that could not be read; nil for none.
func (o Offer) Rejected() *Rejected { return o.p.rejected }

// Notes name the sentences of an offered file that this program prints nowhere.
func (o Offer) Notes() fault.List { return o.p.notes }

// Read reads a practice file and looks at the practice's own sentences. A good
// one waits in Offered for a yes; a bad one in Rejected.
func (o Offer) Read(name, text string) bool {
	o.p.offer = fileText{name, text}
	o.p.set++
	p, faults := casefile.ReadPractice([]byte(text), o.p.words)
	o.p.notes = nil
	if len(faults) == 0 {
		faults, o.p.notes = produce.Vet(p)
	}
	if len(faults) > 0 {
		o.p.rejected = &Rejected{name, text, faults}
		o.p.offered = nil
		return false
	}
	o.p.rejected = nil
	o.p.offered = &p
	return true
}

// Drop forgets a practice file that was offered or could not be read.
func (o Offer) Drop() {
	o.p.offered, o.p.rejected, o.p.offer = nil, nil, fileText{}
	o.p.set++
}

// Mend changes the text of a practice file that could not be read.
func (o Offer) Mend(text string) {
	if o.p.rejected != nil {
		o.p.rejected.Text, o.p.offer.Text = text, text
		o.p.set++
	}
}

// Accept puts the offered practice in place of the present one. newest gives the
// newest words of a language of a practice, nil where they are not at hand; it is asked
// for those of produce.Unnamed.
func (o Offer) Accept(newest func(casefile.Practice, string) *i18n.Wording) {
	if o.p.offered == nil {
		return
	}
	o.p.file, o.p.offered, o.p.offer = produce.Succeed(o.p.file, *o.p.offered, newest), nil, fileText{}
	o.p.own.Typed = texts{}
	o.p.worded++
	o.p.changed()
}

// fileText is a practice file that waits for a yes or to be mended.
type fileText struct {
	Name string `json:"name"`
	Text string `json:"text"`
}
