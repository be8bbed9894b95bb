// Command cmd writes content/compiled.json from the TOML files. Run it at the
// root of the repository: go run ./content/compile/cmd. With -keys it prints
// the ids of the messages the wordings must have for this data, one a line.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"plainleaf/content"
	"plainleaf/content/compile"
)

func main() {
	dir := flag.String("dir", "content", "the content folder")
	keys := flag.Bool("keys", false, "print message ids instead of writing")
	flag.Parse()
	b, faults := compile.Dir(os.DirFS(*dir))
	if len(faults) > 0 {
		fmt.Fprint(os.Stderr, faults.Lines())
		os.Exit(1)
	}
	if *keys {
		for _, k := range content.Keys(b) {
			fmt.Println(k)
		}
		return
	}
	data, err := compile.JSON(b)
	if err == nil {
		err = os.WriteFile(filepath.Join(*dir, "compiled.json"), data, 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
