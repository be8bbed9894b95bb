package state

import (
	"fmt"
	"slices"
	"strings"

	"plainleaf/app/casefile"
)

// Patient is what the patient wants, asks and understands, and who decides.
type Patient struct{ d *Draft }

// Priority gives the place of a wish in the patient's order, from 1; 0 when it has none.
func (p Patient) Priority(key string) int { return slices.Index(p.d.c.Priorities, key) + 1 }

// TogglePriority puts a wish last in the patient's order, or takes it out.
func (p Patient) TogglePriority(key string) {
	defer p.d.edit()()
	p.d.c.Priorities = toggle(p.d.c.Priorities, key)
}

// SetDetail sets how much the patient wants to know: words or numbers.
func (p Patient) SetDetail(d string) {
	defer p.d.edit()()
	p.d.c.Detail = d
}

// EditPeople changes who decides and who is there. All empty is "not said".
func (p Patient) EditPeople(edit func(*casefile.People)) {
	was := p.People()
	now := was
	edit(&now)
	defer p.typed(was, now)()
	p.d.c.People = nil
	if (now != casefile.People{}) {
		p.d.c.People = &now
	}
}

// typed begins an edit of the people: typing where only one text differs.
func (p Patient) typed(was, now casefile.People) func() {
	rest := now
	rest.CapacitySupport, rest.Companion = was.CapacitySupport, was.Companion
	support, companion := was.CapacitySupport != now.CapacitySupport, was.Companion != now.Companion
	switch {
	case rest != was || support == companion:
		return p.d.edit()
	case support:
		return p.d.typing("people.capacity_support", now.CapacitySupport)
	}
	return p.d.typing("people.companion", now.Companion)
}

// People is who decides and who is there.
func (p Patient) People() casefile.People {
	if p.d.c.People == nil {
		return casefile.People{}
	}
	return *p.d.c.People
}

// SetWish keeps what the patient hopes for, in the patient's own words.
func (p Patient) SetWish(s string) {
	defer p.d.typing("wish", s)()
	p.d.c.Wish = s
}

// WantsNumbers reports whether the patient asked for numbers.
func (p Patient) WantsNumbers() bool { return p.d.c.Detail == "numbers" }

// Topic returns the teach-back status of a point.
func (p Patient) Topic(topic string) Topic {
	for _, t := range p.d.c.TeachBacks() {
		if t.Topic == topic {
			return Topic{Said: t.Done, Again: !t.Done || t.Note != "" || p.d.again[topic], Note: t.Note}
		}
	}
	return Topic{}
}

// SetTopic notes the teach-back status of a point; a point not asked is not kept.
func (p Patient) SetTopic(topic string, t Topic) {
	if !t.Again {
		t.Note = ""
	}
	if was := p.Topic(topic); was.Said == t.Said && was.Again == t.Again && was.Note != t.Note {
		defer p.d.typing("topic."+topic, t.Note)()
	} else {
		defer p.d.edit()()
	}
	p.d.again[topic] = t.Again
	p.d.takeBack(func(e casefile.Event) bool { return e.Topic == topic }, nil)
	if t.Again && (!t.Said || t.Note != "") {
		p.d.c.Note(casefile.Event{Kind: casefile.ExplainedAgain, Topic: topic, Note: t.Note})
	}
	if t.Said {
		p.d.c.Note(casefile.Event{Kind: casefile.SaidBack, Topic: topic})
	}
}

// AddQuestion keeps a question; a blank one is none.
func (p Patient) AddQuestion(asked, answer string) bool {
	if strings.TrimSpace(asked) == "" {
		return false
	}
	defer p.d.adding("question", asked)()
	p.d.c.Questions = append(slices.Clone(p.d.c.Questions), casefile.Question{Asked: strings.TrimSpace(asked), Answer: answer})
	return true
}

// SetAnswerTo keeps what was answered to question i.
func (p Patient) SetAnswerTo(i int, answer string) {
	if i < len(p.d.c.Questions) {
		defer p.d.typing(fmt.Sprintf("questions[%d].answer", i), answer)()
		p.d.c.Questions[i].Answer = answer
	}
}

// RemoveQuestion takes question i out and gives its text.
func (p Patient) RemoveQuestion(i int) string {
	if i < 0 || i >= len(p.d.c.Questions) {
		return ""
	}
	defer p.d.edit()()
	asked := p.d.c.Questions[i].Asked
	p.d.c.Questions = emptied(slices.Delete(slices.Clone(p.d.c.Questions), i, i+1))
	return asked
}

// Topic is the teach-back status of one point. Said and Again may both
// be true: explained again, and then said back. Neither is not asked yet.
type Topic struct {
	Said  bool
	Again bool
	Note  string // what was explained again
}
