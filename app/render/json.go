package render

import (
	"bytes"
	"encoding/json"

	"plainleaf/app/casefile"
	"plainleaf/app/sheet"
)

// JSONVersion is that of the form JSON writes.
const JSONVersion = 2

// JSON gives documents as data: every text resolved, with the id of its message,
// its values, what it is about, its language and direction, in the order in which
// it is on paper. The same documents give the same bytes.
func JSON(docs []Doc) ([]byte, error) {
	file := struct {
		Version   int       `json:"version"`
		Documents []jsonDoc `json:"documents"`
	}{Version: JSONVersion}
	for _, d := range docs {
		file.Documents = append(file.Documents, jsonOf(d))
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	err := enc.Encode(file)
	return b.Bytes(), err
}

type jsonDoc struct {
	Kind     sheet.Kind    `json:"kind"`
	Locale   string        `json:"locale"`
	Lang     string        `json:"lang"`
	Dir      string        `json:"dir"`
	Title    *jsonLine     `json:"title"`
	Issued   casefile.Date `json:"issued"`
	CaseID   string        `json:"case_id,omitempty"`
	Revision int           `json:"revision,omitempty"`
	Content  string        `json:"content,omitempty"`
	Specimen bool          `json:"specimen,omitempty"`
	State    string        `json:"state"`
	Signed   *jsonSigned   `json:"signed,omitempty"`
	Banners  []*jsonLine   `json:"banners,omitempty"`
	Blocks   []jsonBlock   `json:"blocks"`
	Page     jsonPage      `json:"page"`
}

type jsonSigned struct {
	Who  string        `json:"who"`
	Role string        `json:"role"`
	When casefile.Date `json:"when"`
}

type jsonPage struct {
	Practice  *jsonLine `json:"practice"`
	Telephone *jsonLine `json:"telephone"`
	Version   *jsonLine `json:"version"`
	Caution   *jsonLine `json:"caution"`
}

// jsonLine is a line: its text without direction marks, and the values in it.
type jsonLine struct {
	Msg    string      `json:"msg,omitempty"`
	Text   string      `json:"text"`
	Values []jsonValue `json:"values,omitempty"`
}

type jsonValue struct {
	Kind  string           `json:"kind"`
	Text  string           `json:"text"`
	Dir   string           `json:"dir,omitempty"`
	Lang  string           `json:"lang,omitempty"`
	Teeth []casefile.Tooth `json:"teeth,omitempty"`
	Date  *casefile.Date   `json:"date,omitempty"`
}

type jsonBlock struct {
	Kind    sheet.BlockKind `json:"kind"`
	Style   sheet.Style     `json:"style,omitempty"`
	Level   int             `json:"level,omitempty"`
	Tone    string          `json:"tone,omitempty"`
	Text    *jsonLine       `json:"text,omitempty"`
	Aside   *jsonLine       `json:"aside,omitempty"`
	Columns []*jsonLine     `json:"columns,omitempty"`
	Heads   []jsonHead      `json:"heads,omitempty"`
	Items   []jsonItem      `json:"items,omitempty"`
	Count   int             `json:"count,omitempty"`
	Blank   int             `json:"blank,omitempty"`
	Address string          `json:"address,omitempty"`
	Ref     *jsonRef        `json:"ref,omitempty"`
}

type jsonHead struct {
	Text  *jsonLine `json:"text"`
	Note  *jsonLine `json:"note,omitempty"`
	Group *jsonLine `json:"group,omitempty"`
	Name  *jsonLine `json:"name,omitempty"`
	Ref   *jsonRef  `json:"ref,omitempty"`
}

type jsonItem struct {
	Label   *jsonLine    `json:"label,omitempty"`
	Text    *jsonLine    `json:"text,omitempty"`
	More    []*jsonLine  `json:"more,omitempty"`
	Items   []jsonItem   `json:"items,omitempty"`
	Blank   int          `json:"blank,omitempty"`
	Cells   []jsonCell   `json:"cells,omitempty"`
	Choices []jsonChoice `json:"choices,omitempty"`
	Mark    bool         `json:"mark,omitempty"`
	Strong  bool         `json:"strong,omitempty"`
	Rank    int          `json:"rank,omitempty"`
	Ref     *jsonRef     `json:"ref,omitempty"`
}

type jsonCell struct {
	Texts []*jsonLine `json:"texts,omitempty"`
	Boxes []jsonBox   `json:"boxes,omitempty"`
	Write bool        `json:"write,omitempty"`
	Span  int         `json:"span,omitempty"`
	Ref   *jsonRef    `json:"ref,omitempty"`
}

type jsonChoice struct {
	Where *jsonLine `json:"where,omitempty"`
	Boxes []jsonBox `json:"boxes"`
}

type jsonBox struct {
	Key  string    `json:"key,omitempty"`
	Text *jsonLine `json:"text"`
	Mark bool      `json:"mark,omitempty"`
}

type jsonRef struct {
	Teeth   []casefile.Tooth `json:"teeth,omitempty"`
	Figures []string         `json:"figures,omitempty"`
	Change  string           `json:"change,omitempty"`
	Wait    string           `json:"wait,omitempty"`
	Finding string           `json:"finding,omitempty"`
	Route   string           `json:"route,omitempty"`
	Warning string           `json:"warning,omitempty"`
	Sources []int            `json:"sources,omitempty"`
}

func jsonOf(d Doc) jsonDoc {
	out := jsonDoc{Kind: d.Kind, Locale: d.Locale, Lang: d.Lang, Dir: d.Dir, Title: jsonText(d.Title), Issued: d.Issued, CaseID: d.CaseID,
		State: d.State, Banners: jsonTexts(d.Banners), Blocks: []jsonBlock{},
		Page: jsonPage{jsonText(d.Page.Practice), jsonText(d.Page.Telephone), jsonText(d.Page.Version), jsonText(d.Page.Caution)}}
	if d.Sheet != nil {
		out.Revision, out.Content, out.Specimen = d.Sheet.Revision, d.Sheet.Content, d.Sheet.Demo
	}
	if d.Signed != nil {
		out.Signed = &jsonSigned{d.Signed.Who, d.Signed.Role, d.Signed.When}
	}
	for _, b := range d.Blocks {
		j := jsonBlock{Kind: b.Kind, Style: b.Style, Level: b.Level, Tone: b.Tone, Text: jsonText(b.Text), Aside: jsonText(b.Aside),
			Columns: jsonTexts(b.Columns), Count: b.Count, Blank: b.Blank, Address: b.Address, Items: jsonItems(b.Items), Ref: jsonRefOf(b.Ref)}
		for _, h := range b.Heads {
			j.Heads = append(j.Heads, jsonHead{jsonText(h.Text), jsonText(h.Note), jsonText(h.Group), jsonText(h.Name), jsonRefOf(h.Ref)})
		}
		out.Blocks = append(out.Blocks, j)
	}
	return out
}

func jsonItems(items []Item) []jsonItem {
	var out []jsonItem
	for _, it := range items {
		i := jsonItem{Label: jsonText(it.Label), Text: jsonText(it.Text), More: jsonTexts(it.More), Items: jsonItems(it.Items), Blank: it.Blank,
			Mark: it.Mark, Strong: it.Strong, Rank: it.Rank, Ref: jsonRefOf(it.Ref)}
		for _, c := range it.Cells {
			i.Cells = append(i.Cells, jsonCell{jsonTexts(c.Texts), jsonBoxes(c.Boxes), c.Write, c.Span, jsonRefOf(c.Ref)})
		}
		for _, c := range it.Choices {
			i.Choices = append(i.Choices, jsonChoice{jsonText(c.Where), jsonBoxes(c.Boxes)})
		}
		out = append(out, i)
	}
	return out
}

func jsonBoxes(boxes []Box) []jsonBox {
	var out []jsonBox
	for _, x := range boxes {
		out = append(out, jsonBox{x.Key, jsonText(x.Text), x.Mark})
	}
	return out
}

func jsonText(l Line) *jsonLine {
	if len(l) == 0 {
		return nil
	}
	out := &jsonLine{Msg: l.Msg(), Text: l.String()}
	for _, r := range l {
		if r.Value == "" {
			continue
		}
		v := jsonValue{Kind: r.Value, Text: r.Text, Dir: r.Dir, Lang: r.Lang, Teeth: r.Teeth}
		if !r.Date.IsZero() {
			v.Date = &r.Date
		}
		out.Values = append(out.Values, v)
	}
	return out
}

func jsonTexts(ls []Line) []*jsonLine {
	var out []*jsonLine
	for _, l := range ls {
		out = append(out, jsonText(l))
	}
	return out
}

func jsonRefOf(r sheet.Ref) *jsonRef {
	if len(r.Teeth)+len(r.Figures)+len(r.Sources) == 0 && r.Change+r.Wait+r.Finding+r.Route+r.Warning == "" {
		return nil
	}
	return &jsonRef{r.Teeth, r.Figures, r.Change, r.Wait, r.Finding, r.Route, r.Warning, r.Sources}
}
