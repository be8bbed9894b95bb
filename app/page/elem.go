package page

import "github.com/maxence-charriere/go-app/v10/pkg/app"

// el makes an element by its tag. The engine has a type for each tag as well, and
// each of them brings sixty kilobytes of methods into the program.
func el(tag string) app.HTMLElem { return app.Elem(tag) }

// say is an element that holds a text. class may be empty.
//
//go:noinline
func say(tag, class, text string) app.UI {
	e := app.Elem(tag)
	if class != "" {
		e.Class(class)
	}
	return e.Text(text)
}

// box is an element that holds others. class may be empty.
//
//go:noinline
func box(tag, class string, body ...app.UI) app.UI {
	e := app.Elem(tag)
	if class != "" {
		e.Class(class)
	}
	return e.Body(body...)
}

// each draws n elements of a list.
//
//go:noinline
func each(n int, draw func(i int) app.UI) app.UI {
	return app.Range(make([]struct{}, n)).Slice(draw)
}
