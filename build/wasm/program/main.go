// Command program builds the browser program as a release does:
//
//	go run ./build/wasm/program OUT
package main

import (
	"fmt"
	"os"

	"plainleaf/build/wasm"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: program OUT")
		os.Exit(2)
	}
	root, err := wasm.Root()
	if err == nil {
		err = wasm.Build(root, "./app", os.Args[1])
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
