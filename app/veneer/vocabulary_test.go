package veneer_test

import (
	"encoding/json"
	"path/filepath"
	"testing"

	"github.com/BurntSushi/toml"

	"plainleaf/app/evidence"
	"plainleaf/app/veneer"
)

func vocabulary(t *testing.T) veneer.Vocabulary {
	t.Helper()
	var b evidence.Base
	for _, p := range []string{"*.toml", "*/*.toml"} {
		ms, _ := filepath.Glob("../../content/" + p)
		for _, m := range ms {
			var x map[string]any
			if _, err := toml.DecodeFile(m, &x); err != nil {
				t.Fatal(err)
			}
			d, _ := json.Marshal(x)
			var y struct {
				Finding  []evidence.Finding
				Change   []evidence.Change
				Route    []evidence.RouteRule
				Priority []evidence.Priority
				Upkeep   []evidence.UpkeepRule
				Figure   []evidence.Figure
			}
			if err := json.Unmarshal(d, &y); err != nil {
				t.Log(m, err)
			}
			b.Findings = append(b.Findings, y.Finding...)
			b.Changes = append(b.Changes, y.Change...)
			b.Routes = append(b.Routes, y.Route...)
			b.Priorities = append(b.Priorities, y.Priority...)
			b.Upkeep = append(b.Upkeep, y.Upkeep...)
			b.Figures = append(b.Figures, y.Figure...)
		}
	}
	return b.Vocabulary([]string{"en", "es", "ar"})
}
