// Command draw writes the icon files into a folder:
//
//	go run ./build/icon/draw app/shell
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"plainleaf/build/icon"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: draw DIR")
		os.Exit(2)
	}
	for _, f := range icon.Files {
		b, err := f.Draw()
		if err == nil {
			err = os.WriteFile(filepath.Join(os.Args[1], f.Name), b, 0o644)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}
