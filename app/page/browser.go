package page

import (
	"errors"

	"github.com/maxence-charriere/go-app/v10/pkg/app"

	"plainleaf/app/casefile"
	"plainleaf/app/strict"
)

// today is the device's own date.
func today() casefile.Date {
	d := app.Window().Get("Date").New()
	return casefile.Date{Year: d.Call("getFullYear").Int(), Month: d.Call("getMonth").Int() + 1, Day: d.Call("getDate").Int()}
}

// await calls done with the text a promise of a text gives, or an error.
func (r *Root) await(promise app.Value, done func(string, error)) {
	var yes, no app.Func
	end := func(text string, err error) {
		yes.Release()
		no.Release()
		r.later(func() { done(text, err) })
	}
	yes = app.FuncOf(func(_ app.Value, args []app.Value) any {
		end(args[0].String(), nil)
		return nil
	})
	no = app.FuncOf(func(_ app.Value, args []app.Value) any {
		end("", errors.New(args[0].Call("toString").String()))
		return nil
	})
	promise.Call("then", yes, no)
}

// fetch gets a text file of the app's own site.
func (r *Root) fetch(url string, done func(string, error)) {
	var body app.Func
	body = app.FuncOf(func(_ app.Value, args []app.Value) any {
		body.Release()
		if !args[0].Get("ok").Bool() {
			return app.Window().Get("Promise").Call("reject", "not found")
		}
		return args[0].Call("text")
	})
	r.await(app.Window().Call("fetch", url).Call("then", body), done)
}

// opener is a button that asks for a file and gives its name and text. A file
// larger than any the program reads is not taken into memory.
func (r *Root) opener(id, text string, take func(name, text string)) app.UI {
	return box("label", "opener",
		el("input").ID(id).Attr("type", "file").Attr("autocomplete", "off").Attr("accept", ".json,application/json").
			OnChange(r.on(id, func(ctx app.Context, _ app.Event) {
				field := ctx.JSSrc()
				file := field.Get("files").Index(0)
				if !file.Truthy() {
					return
				}
				name := file.Get("name").String()
				promise := file.Call("text")
				if file.Get("size").Int() > strict.MaxBytes {
					promise = file.Call("slice", 0, strict.MaxBytes+1).Call("text")
				}
				r.await(promise, func(text string, err error) {
					if err != nil {
						r.notice = r.t("page.file.unreadable", "File", name)
						return
					}
					take(name, text)
				})
				// The same file may be chosen again after it was mended.
				field.Set("value", "")
			})),
		say("span", "", text),
	)
}

// save hands a file to the browser's downloads.
func save(name, kind string, data []byte) {
	w := app.Window()
	bytes := w.Get("Uint8Array").New(len(data))
	app.CopyBytesToJS(bytes, data)
	list := w.Get("Array").New()
	list.Call("push", bytes)
	opts := w.Get("Object").New()
	opts.Set("type", kind)
	url := w.Get("URL").Call("createObjectURL", w.Get("Blob").New(list, opts))
	doc := w.Get("document")
	a := doc.Call("createElement", "a")
	a.Set("href", url)
	a.Set("download", name)
	doc.Get("body").Call("appendChild", a)
	a.Call("click")
	a.Call("remove")
	w.Get("URL").Call("revokeObjectURL", url)
}
