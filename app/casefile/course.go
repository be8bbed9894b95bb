package casefile

import (
	"cmp"
	"slices"
)

// step is one chair change at one place.
type step struct {
	change string
	at     Place
}

// Course follows the answers in force through the history of a case: those of the
// agreement that an entry was made under, with what was said in the chair since. An
// agreement that took its place later says nothing of what was done before.
type Course struct {
	c      Case
	list   []Event
	days   []Date // of each entry; one without a day has that of the chair's last
	agreed []Agreement
	signed []int // index of the entry that signs each agreement, -1 without one
	now    int   // the agreement in force, -1 while there is none
	next   int
	said   map[step]Standing
	asked  map[step]Event
	taken  bool // the yes was taken back
}

// Course begins before the first entry of the history.
func (c Case) Course() *Course {
	f := &Course{c: c, list: c.History(), agreed: slices.Clip(c.AgreedBefore), now: -1, said: map[step]Standing{}, asked: map[step]Event{}}
	if c.Agreed != nil {
		f.agreed = append(f.agreed, *c.Agreed)
	}
	var last Date
	for _, e := range f.list {
		day := cmp.Or(e.On, last)
		f.days = append(f.days, day)
		if slices.Contains(treats, e.Kind) {
			last = day
		}
	}
	from := 0
	for n, a := range f.agreed { // papers may bear one code: their entries are in order
		f.signed = append(f.signed, -1)
		for i := from; i < len(f.list); i++ {
			e := f.list[i]
			if e.Kind == SignedSheet && e.Code == a.Code && (e.On.IsZero() || e.On == a.Date) {
				f.signed[n], from = i, i+1
				if n < len(f.agreed)-1 {
					break
				}
			}
		}
	}
	f.rest(0)
	return f
}

// Upto moves on to just before the i-th entry of the history, counted from 0; its
// length is the end.
func (f *Course) Upto(i int) {
	for ; f.next < min(i, len(f.list)); f.next++ {
		f.rest(f.next)
		f.take(f.list[f.next])
	}
	f.rest(f.next)
}

// since reports whether the i-th entry was made under an agreement: it was noted
// after the signature, or happened on a later day. Without a day and without the
// signature to go by, only a yes is taken for an earlier one.
func (f *Course) since(agreed, i int) bool {
	a, signed, day := f.agreed[agreed], f.signed[agreed], f.days[i]
	switch {
	case signed >= 0:
		return i > signed || a.Date.Before(day)
	case day.IsZero():
		return f.list[i].Answer != Agree
	}
	return !day.Before(a.Date)
}

// rest puts the agreement in force that the i-th entry was made under; at the end
// the last one.
func (f *Course) rest(i int) {
	now := len(f.agreed) - 1
	for i < len(f.list) && now >= 0 && !f.since(now, i) {
		now--
	}
	if now == f.now {
		return
	}
	f.now, f.taken = now, false
	clear(f.said)
	clear(f.asked)
	for j := range i {
		if now < 0 || f.since(now, j) {
			f.take(f.list[j])
		}
	}
}

// take puts in what one entry says. What is asked changes no answer.
func (f *Course) take(e Event) {
	switch e.Kind {
	case WithdrawnYes:
		f.taken = true
		for at, s := range f.said {
			if s.Answer == Agree {
				f.said[at] = Standing{}
			}
		}
	case Asked, Answered, Reopened:
		// Teeth mean their contacts too.
		for _, at := range slices.Concat(f.c.sites(e.Teeth, e.Places), f.c.PlacesOf(e, true)) {
			f.say(step{e.Change, at}, e)
		}
	}
}

func (f *Course) say(at step, e Event) {
	s := Standing{Answer: e.Answer, From: FromAsked, On: e.On, By: e.By, How: e.How}
	switch e.Kind {
	case Asked:
		f.asked[at] = e
		return
	case Reopened:
		s.Answer = Ask
	case Answered:
		asked := f.asked[at]
		s.SizeMM, s.Fee = cmp.Or(e.SizeMM, asked.SizeMM), cmp.Or(e.Fee, asked.Fee)
	}
	f.said[at] = s
}

// Standing is the answer to a change that holds at a place now: what was last said in
// the chair, else what was agreed; before there is an agreement, what the case says,
// whose no has no day and may be the later one: it holds until it is changed there.
func (f *Course) Standing(change string, at Place) Standing {
	key := step{change, at}
	s, ok := f.said[key]
	if ok && s.Answer != No && len(f.agreed) == 0 && f.c.AnswerAt(change, at) == No {
		return Standing{Answer: No, From: FromCase}
	}
	if ok {
		return s
	}
	switch {
	case f.now >= 0:
		a := f.agreed[f.now]
		if said := answerIn(a.Answers, change, at, a.has); said != Blank {
			s = Standing{Answer: said, From: FromAgreement, On: a.Date, By: a.By}
		}
	case len(f.agreed) == 0:
		if said := f.c.AnswerAt(change, at); said != Blank {
			s = Standing{Answer: said, From: FromCase}
		}
	}
	if f.taken && s.Answer == Agree {
		return Standing{}
	}
	return s
}

// Standing is the answer to a change that holds at a place at the end of the history.
func (c Case) Standing(change string, at Place) Standing {
	f := c.Course()
	f.Upto(len(f.list))
	return f.Standing(change, at)
}

// Beforehand is the answer on paper to a change at a place: what the agreement says,
// else what the case does.
func (c Case) Beforehand(change string, at Place) Answer {
	if a := c.Agreed; a != nil {
		return answerIn(a.Answers, change, at, a.has)
	}
	return c.AnswerAt(change, at)
}

// inForce lists the agreed answers with what was answered in the chair since put in.
func (c Case) inForce(contacts func(change string) bool) []AnswerEntry {
	f := c.Course()
	f.Upto(len(f.list))
	type group struct {
		change string
		answer Answer
	}
	var out []AnswerEntry
	at := map[group]int{}
	done := map[step]bool{}
	put := func(change string, p Place) {
		if done[step{change, p}] {
			return
		}
		done[step{change, p}] = true
		g := group{change, f.Standing(change, p).Answer}
		i, ok := at[g]
		if !ok {
			i = len(out)
			at[g] = i
			out = append(out, AnswerEntry{Change: change, Answer: g.answer})
		}
		if p.B != 0 {
			out[i].Places = append(out[i].Places, p)
		} else {
			out[i].Teeth = append(out[i].Teeth, p.A)
		}
	}
	agreed := c.Agreed.plain()
	for _, e := range c.Agreed.Answers {
		all := agreed.sites(e.Teeth, e.Places)
		if len(all) == 0 { // of the mouth as a whole
			out = append(out, e)
		}
		for _, p := range all {
			put(e.Change, p)
		}
	}
	for i, e := range f.list {
		if (e.Kind == Answered || e.Kind == Reopened) && e.Change != "" && f.since(f.now, i) {
			for _, p := range c.PlacesOf(e, contacts(e.Change)) {
				put(e.Change, p)
			}
		}
	}
	return out
}
