// Command program prints the digest of the plan of each case it is given, to
// compare the native program with the one for browsers.
//
//	program PRACTICE CASE...
package main

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"

	"plainleaf/app/plan"
	"plainleaf/app/veneer"
	"plainleaf/content"
)

func main() {
	b := content.MustLoad()
	v := b.Vocabulary([]string{"en", "es", "ar"})
	read := func(path string) []byte {
		data, err := os.ReadFile(path)
		stop(err)
		return data
	}
	p, faults := veneer.ReadPractice(read(os.Args[1]), v)
	stop(faults.Err())
	for _, path := range os.Args[2:] {
		c, faults := veneer.ReadCase(read(path), v)
		stop(faults.Err())
		pl, faults := plan.For(c, p, b)
		stop(faults.Err())
		data, err := json.Marshal(pl)
		stop(err)
		fmt.Printf("%s %d %x\n", path, len(data), sha256.Sum256(data))
	}
}

func stop(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
