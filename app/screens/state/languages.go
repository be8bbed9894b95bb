package state

import (
	"slices"

	"plainleaf/i18n"
)

// Languages is the language of the screen and those of the sheets.
type Languages struct{ d *Draft }

// SetLanguage sets the screen's language. The sheets follow it unless they have
// one of their own.
func (l Languages) SetLanguage(tag string) {
	d, before := l.d, l.d.c.Locale
	d.screen = tag
	d.outside(func(v *value) {
		if parked := v.parked; !v.apart {
			v.setLocale(tag, tag)
			v.parked = parked
		}
		v.apart = v.c.Locale != tag
	})
	if d.c.Locale != before {
		d.changed()
	}
}

// SetLocale sets the language of the sheets.
func (l Languages) SetLocale(tag string) {
	if l.d.c.Locale == tag {
		l.d.setLocale(tag, l.d.screen)
		return
	}
	defer l.d.edit()()
	l.d.setLocale(tag, l.d.screen)
}

func (v *value) setLocale(tag, screen string) {
	v.apart, v.parked = tag != screen, nil
	if v.c.Locale == tag {
		return
	}
	v.c.Locale = tag
	if v.c.Second == tag {
		v.c.Second = ""
	}
}

// opened settles the languages of a case that was opened. The screen stays in the
// language it is in, since the patient is looking on; the sheets stay in the case's.
// Where that is parked, the sheets follow the screen, and Parked says so.
func (l Languages) opened() {
	c := &l.d.c
	for _, tag := range []*string{&c.Locale, &c.Second} {
		if parked(*tag) {
			l.d.parked = append(l.d.parked, *tag)
			*tag = ""
		}
	}
	if c.Locale == "" {
		c.Locale = l.d.screen
	}
	if c.Second == c.Locale {
		c.Second = ""
	}
	l.d.apart = c.Locale != l.d.screen
}

// Parked lists the languages that the opened case named and that are not offered for
// now, until another is chosen for its sheets.
func (l Languages) Parked() []string { return l.d.parked }

// Apart reports whether the sheets are in another language than the screen.
func (l Languages) Apart() bool { return l.d.apart }

// SetSecond sets the language printed beside the first; "" is one language.
func (l Languages) SetSecond(tag string) {
	if tag == l.d.c.Locale {
		tag = ""
	}
	defer l.d.edit()()
	l.d.c.Second, l.d.parked = tag, nil
}

// rename puts points into another language, old text to new.
func (l Languages) rename(topics map[string]string) {
	l.d.outside(func(v *value) {
		v.c.Events = slices.Clone(v.c.Events)
		for i, e := range v.c.Events {
			if s := topics[e.Topic]; e.Topic != "" && s != "" && s != e.Topic {
				v.again[s] = v.again[e.Topic]
				v.c.Events[i].Topic = s
			}
		}
	})
	l.d.changed()
}

func parked(tag string) bool {
	l, ok := i18n.Known(tag)
	return ok && l.Tier == i18n.Parked
}
