package site

import (
	"fmt"
	"os"
	"path/filepath"

	"plainleaf/app/printout"
	"plainleaf/build/licences"
	"plainleaf/build/wasm"
	"plainleaf/i18n"
)

// Gather fills the options from the project: it reads the browser program from
// a file, or builds it when no file is given, and takes the words from the
// wordings.
func Gather(program string) (Options, error) {
	var o Options
	root, err := wasm.Root()
	if err != nil {
		return o, err
	}
	if o.Licences, err = licences.Text(root); err != nil {
		return o, err
	}
	if program == "" {
		temp, err := os.MkdirTemp("", "plainleaf-")
		if err != nil {
			return o, err
		}
		defer os.RemoveAll(temp)
		program = filepath.Join(temp, "app.wasm")
		if err := wasm.Build(root, "./app", program); err != nil {
			return o, err
		}
	}
	if o.Wasm, err = os.ReadFile(program); err != nil {
		return o, err
	}
	if len(o.Wasm) < 4 || string(o.Wasm[:4]) != "\x00asm" {
		return o, fmt.Errorf("%s: not a WebAssembly file", program)
	}
	if o.Exec, err = wasm.Exec(); err != nil {
		return o, err
	}
	o.SheetCSS = printout.CSS()
	return o, o.speak(i18n.Languages())
}

// speak takes the words of some languages from the wordings, also of those that have
// sheets and no screens. The first one is embedded in the program, so only the others
// become files.
func (o *Options) speak(languages []i18n.Language) error {
	o.Wordings = map[string][]byte{}
	loaded := map[string]*i18n.Wording{}
	for i, l := range languages {
		data, ok := i18n.Embedded(l.Tag)
		if !ok {
			return fmt.Errorf("no wording for %s", l.Tag)
		}
		w, faults := i18n.Load(l.Tag, data, nil)
		if len(faults) > 0 {
			return fmt.Errorf("wording for %s: %v", l.Tag, faults)
		}
		loaded[l.Tag] = w
		if i > 0 {
			o.Wordings[l.Tag] = data
			if states, ok := i18n.EmbeddedState(l.Tag); ok {
				// A sheet says how far its words have been checked.
				o.Wordings["state/"+l.Tag] = states
			}
		}
	}
	o.Text = func(tag, id string) (string, error) {
		w := loaded[tag]
		if w == nil {
			return "", fmt.Errorf("no wording for %s", tag)
		}
		return w.Text(id, nil, "")
	}
	return nil
}
