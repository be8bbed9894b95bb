//go:build !js

package upkeep

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/gofrs/flock"

	"plainleaf/app/fault"
	"plainleaf/i18n"
	"plainleaf/i18n/vet"
)

// Folder is an i18n folder on disk, changed under a lock, so that several
// people may merge at once.
type Folder string

// Change says who is changing the wording, and when.
type Change struct {
	// Who is a role, never a person.
	Who string
	// When is a date, YYYY-MM-DD.
	When string
	// Values lets a source message lose or gain values. Without it a merge that
	// would is refused, since a number is easily lost when a sentence is mended.
	Values bool
	// Sources, where it names a message, is the hash of the source the text was made
	// from. A message whose source is another by now is refused.
	Sources map[string]string
	// Reviewed names messages whose text, as it stands, Who has compared with the
	// source. Whoever translated a text does not review it too, and a text that the
	// merge changes has been reviewed by nobody.
	Reviewed []string
}

// Counts says what a merge did.
type Counts struct{ Added, Changed, Same, Reviewed int }

// Merge puts the messages of a fragment, a wording file in its own right, into
// the wording of a language and notes them as translated from the current
// source. With any fault nothing is written. A message whose text and source are
// as before keeps its review state.
func (d Folder) Merge(tag string, fragment []byte, by Change) (Counts, fault.List, error) {
	var n Counts
	lang, ok := i18n.Known(tag)
	if !ok {
		var l fault.List
		l.Add("WORDING-LANGUAGE", "", "there is no language %q", tag)
		return n, l, nil
	}
	fresh, faults := lang.Parse("i18n/"+tag+".json", fragment)
	if !role.MatchString(by.Who) {
		faults.Add("WORDING-STATE", "", "who is a role in lower case, such as translator")
	}
	unlock, err := d.lock()
	if err != nil {
		return n, nil, err
	}
	defer unlock()

	messages, err := d.messages(lang)
	if err != nil {
		return n, nil, err
	}
	states, err := d.states(tag)
	if err != nil {
		return n, nil, err
	}
	allowed := map[string]string{}
	if err := d.readJSON("digits-allowed.json", &allowed); err != nil {
		return n, nil, err
	}
	own := tag == i18n.Source().Tag
	english := messages
	if own {
		faults.Append(vet.Messages(lang, nil, fresh, allowed)...)
	} else {
		if english, err = d.messages(i18n.Source()); err != nil {
			return n, nil, err
		}
		faults.Append(vet.Messages(lang, english, fresh, allowed)...)
	}
	for _, id := range slices.Sorted(maps.Keys(fresh)) {
		m := fresh[id]
		source := m
		if !own {
			var ok bool
			if source, ok = english[id]; !ok {
				continue
			}
		}
		if old, had := messages[id]; had && own && !by.Values && !slices.Equal(old.Placeholders(), m.Placeholders()) {
			faults.Add("WORDING-PLACEHOLDER-CHANGED", vet.Path(tag, id), "the values were %v and would be %v: say so with -values if it is meant", old.Placeholders(), m.Placeholders())
		}
		hash := i18n.Hash(source)
		if was, said := by.Sources[id]; said && was != hash {
			faults.Add("WORDING-STALE", vet.Path(tag, id), "the source changed after this text was made")
		}
		by.put(id, m, hash, messages, states, &n)
	}
	if len(faults) > 0 {
		return Counts{}, faults, nil
	}
	data := Format(messages)
	if len(data) > i18n.MaxFile {
		faults.Add("WORDING-SIZE", "i18n/"+tag+".json", "the file would have %d bytes, more than %d", len(data), i18n.MaxFile)
		return Counts{}, faults, nil
	}
	return n, nil, errors.Join(d.write(tag+".json", data), d.write("state/"+tag+".json", formatStates(states)))
}

// put puts one message into the wording, notes its state and counts what that did.
func (by Change) put(id string, m i18n.Message, hash string, messages map[string]i18n.Message, states map[string]i18n.State, n *Counts) {
	old, had := messages[id]
	s := states[id]
	same := had && old == m && s.SourceHash == hash
	switch {
	case same && slices.Contains(by.Reviewed, id) && s.State == i18n.Translated && s.Who != by.Who:
		n.Reviewed++
		states[id] = i18n.State{State: i18n.Reviewed, SourceHash: hash, Who: by.Who, When: by.When}
		return
	case same:
		n.Same++
		return
	case had:
		n.Changed++
	default:
		n.Added++
	}
	messages[id] = m
	states[id] = i18n.State{State: i18n.Translated, SourceHash: hash, Who: by.Who, When: by.When}
}

// Read gives the messages and review states of a language in the folder.
func (d Folder) Read(lang i18n.Language) (map[string]i18n.Message, map[string]i18n.State, error) {
	unlock, err := d.lock()
	if err != nil {
		return nil, nil, err
	}
	defer unlock()
	messages, err := d.messages(lang)
	if err != nil {
		return nil, nil, err
	}
	states, err := d.states(lang.Tag)
	return messages, states, err
}

// Remove takes messages out of every language, the parked ones too. It returns the ids it did not find.
func (d Folder) Remove(ids []string) (unknown []string, err error) {
	unlock, err := d.lock()
	if err != nil {
		return nil, err
	}
	defer unlock()
	found := map[string]bool{}
	for _, lang := range i18n.All() {
		messages, err := d.messages(lang)
		if err != nil {
			return nil, err
		}
		states, err := d.states(lang.Tag)
		if err != nil {
			return nil, err
		}
		for _, id := range ids {
			if _, ok := messages[id]; ok {
				found[id] = true
			}
			delete(messages, id)
			delete(states, id)
		}
		err = errors.Join(d.write(lang.Tag+".json", Format(messages)), d.write("state/"+lang.Tag+".json", formatStates(states)))
		if err != nil {
			return nil, err
		}
	}
	for _, id := range ids {
		if !found[id] {
			unknown = append(unknown, id)
		}
	}
	return unknown, nil
}

// AddPlaceholder makes a name known, or changes its kind and note.
func (d Folder) AddPlaceholder(name, kind, note string) error {
	switch {
	case i18n.PlaceholdersIn("{{."+name+"}}") == nil:
		return fmt.Errorf("%q: a name is letters and digits and starts with a capital", name)
	case !slices.Contains(i18n.Kinds, kind):
		return fmt.Errorf("%q is not one of %s", kind, strings.Join(i18n.Kinds, ", "))
	case strings.TrimSpace(note) == "":
		return errors.New("a note tells translators what will stand there")
	}
	unlock, err := d.lock()
	if err != nil {
		return err
	}
	defer unlock()
	known := map[string]i18n.Placeholder{}
	if err := d.readJSON("placeholders.json", &known); err != nil {
		return err
	}
	known[name] = i18n.Placeholder{Kind: kind, Note: note}
	var lines []string
	for _, n := range slices.Sorted(maps.Keys(known)) {
		lines = append(lines, fmt.Sprintf(`  %s: {"kind": %s, "note": %s}`, quote(n), quote(known[n].Kind), quote(known[n].Note)))
	}
	return d.write("placeholders.json", object(lines))
}

// SetSide notes a text for an id or the start of ids, in notes.json or
// digits-allowed.json.
func (d Folder) SetSide(file, prefix, text string) error {
	if strings.TrimSpace(text) == "" || strings.TrimSpace(prefix) == "" {
		return errors.New("the id and the text may not be empty")
	}
	unlock, err := d.lock()
	if err != nil {
		return err
	}
	defer unlock()
	m := map[string]string{}
	if err := d.readJSON(file, &m); err != nil {
		return err
	}
	m[strings.TrimSuffix(prefix, ".")] = text
	var lines []string
	for _, k := range slices.Sorted(maps.Keys(m)) {
		lines = append(lines, "  "+quote(k)+": "+quote(m[k]))
	}
	return d.write(file, object(lines))
}

func (d Folder) messages(lang i18n.Language) (map[string]i18n.Message, error) {
	data, err := os.ReadFile(filepath.Join(string(d), lang.Tag+".json"))
	if errors.Is(err, os.ErrNotExist) {
		return map[string]i18n.Message{}, nil // a language just added to languages.json
	}
	if err != nil {
		return nil, err
	}
	messages, faults := lang.Parse("i18n/"+lang.Tag+".json", data)
	return messages, faults.Err()
}

func (d Folder) states(tag string) (map[string]i18n.State, error) {
	data, err := os.ReadFile(filepath.Join(string(d), "state", tag+".json"))
	if errors.Is(err, os.ErrNotExist) {
		return map[string]i18n.State{}, nil
	}
	if err != nil {
		return nil, err
	}
	return i18n.ParseStates(data)
}

func (d Folder) readJSON(name string, v any) error {
	data, err := os.ReadFile(filepath.Join(string(d), name))
	if err != nil {
		return err
	}
	return json.Unmarshal(data, v)
}

// lock waits until nobody else changes the folder. What it locks is the list of the
// languages, which is in every such folder and which no merge writes; the system frees
// it when the process ends.
func (d Folder) lock() (unlock func(), err error) {
	l := flock.New(filepath.Join(string(d), "languages.json"), flock.SetFlag(os.O_RDONLY))
	if err := l.Lock(); err != nil {
		return nil, fmt.Errorf("the folder of the wordings cannot be locked: %w", err)
	}
	return func() { l.Unlock() }, nil
}

// write replaces a file whole, so that a reader never sees half of it.
func (d Folder) write(name string, data []byte) error {
	target := filepath.Join(string(d), filepath.FromSlash(name))
	f, err := os.CreateTemp(filepath.Dir(target), filepath.Base(target)+".new")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), target)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}
