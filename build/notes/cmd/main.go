// Command cmd writes i18n/where.json anew, and names the messages for patients that no
// example has and that need a note by hand:
//
//	go run ./build/notes/cmd
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"plainleaf/build/notes"
	"plainleaf/i18n/exchange"
)

func main() {
	if err := run("."); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(root string) error {
	found, lost, err := notes.Make(root)
	if err != nil {
		return err
	}
	data, err := exchange.FormatWhere(found)
	if err != nil {
		return err
	}
	for _, id := range lost {
		fmt.Println("not met:", id)
	}
	return os.WriteFile(filepath.Join(root, "i18n", exchange.WhereFile), data, 0o644)
}
