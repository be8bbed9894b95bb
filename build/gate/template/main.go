// Command template shows what a template can do in the program it is built
// into: it prints a value by its name, and tries to call a method.
package main

import (
	"fmt"
	"strings"
	"text/template"
)

type thing struct{ Name string }

// Shout is what a template must not reach in the browser.
func (thing) Shout() string { return "called" }

func main() {
	for _, c := range [][2]string{{"value", "{{.Name}}"}, {"method", "{{.Shout}}"}} {
		var b strings.Builder
		err := template.Must(template.New("").Option("missingkey=error").Parse(c[1])).Execute(&b, thing{"v"})
		if err != nil {
			fmt.Println(c[0] + ": refused")
			continue
		}
		fmt.Println(c[0]+":", b.String())
	}
}
