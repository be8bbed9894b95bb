//go:build !js

package main

import (
	"bytes"
	"encoding/binary"
	"flag"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"slices"

	"plainleaf/app/fault"
	"plainleaf/app/handover"
	"plainleaf/app/plan"
	"plainleaf/app/produce"
	"plainleaf/app/sheet"
)

// codeForms are what a code can be written as.
var codeForms = []string{"link", "svg", "png"}

// writeCode gives the code that opens the aftercare of a case on a phone.
func writeCode(f *flag.FlagSet) action {
	r := ask(f, codeForms, "; the picture is for 300 dots an inch")
	return func(call *call) int {
		if code := r.check(call); code != good {
			return code
		}
		if len(call.args) > 1 {
			return call.wrong("name one case file")
		}
		if in := replaced([]string{r.out}, append(call.args, r.practice)); in != "" {
			return call.wrong("-out would replace what is read, %s", in)
		}
		d, faults := openDesk(r.practice)
		if len(faults) > 0 {
			return refuse(call.errw, faults)
		}
		c, faults := d.read(call.args[0], call.in)
		if len(faults) > 0 {
			return refuse(call.errw, faults)
		}
		data, faults := codeOf(d.input(c, sheet.Aftercare, r.locale, ""), r.format)
		if len(faults) > 0 {
			return refuse(call.errw, faults)
		}
		return call.put(r.out, data, personal)
	}
}

func codeOf(in produce.Input, form string) ([]byte, fault.List) {
	pl, faults := plan.For(in.Case, in.Practice, in.Base)
	if len(faults) > 0 {
		return nil, faults
	}
	if faults := produce.Offered(in.Practice, in.Kind, in.Locale, in.Second); len(faults) > 0 {
		return nil, faults
	}
	address, faults := produce.Handover(in, pl)
	if len(faults) == 0 && address == "" {
		faults.Add("CODE-NOWHERE", "base_address", "the practice has no hosted address that a code could lead to")
	}
	if len(faults) > 0 || form == "link" {
		return []byte(address + "\n"), faults
	}
	c, faults := handover.Draw(address)
	if len(faults) > 0 {
		return nil, faults
	}
	if form == "png" {
		return picture(c), nil
	}
	w, faults := in.Wording(in.Locale)
	if len(faults) > 0 {
		return nil, faults
	}
	label, err := w.Text("page.take.code-alt", nil, "")
	if err != nil {
		faults.Add("RENDER-WORDING", "page.take.code-alt", "%v", err)
	}
	return append(c.SVG(label), '\n'), faults
}

// picture is a code as dots of a 300 dpi printer, with that size noted in it.
func picture(c handover.Code) []byte {
	const dots = 6 // a module, see handover.Module
	side := dots * (c.Size + 2*handover.Quiet)
	img := image.NewPaletted(image.Rect(0, 0, side, side), color.Palette{color.White, color.Black})
	for y := range c.Size {
		for x := range c.Size {
			if !c.Black(x, y) {
				continue
			}
			for i := range dots * dots {
				img.SetColorIndex(dots*(x+handover.Quiet)+i%dots, dots*(y+handover.Quiet)+i/dots, 1)
			}
		}
	}
	var b bytes.Buffer
	png.Encode(&b, img) // a buffer takes everything
	// The size of a dot stands in a chunk of its own, before the data (PNG, section
	// 11.3.5.3): 11,811 dots a meter are 300 an inch.
	chunk := []byte("pHYs")
	chunk = binary.BigEndian.AppendUint32(chunk, 11811)
	chunk = binary.BigEndian.AppendUint32(chunk, 11811)
	chunk = append(chunk, 1)
	whole := binary.BigEndian.AppendUint32(nil, uint32(len(chunk)-4))
	whole = append(whole, chunk...)
	whole = binary.BigEndian.AppendUint32(whole, crc32.ChecksumIEEE(chunk))
	const head = 8 + 4 + 4 + 13 + 4 // signature and IHDR
	return slices.Concat(b.Bytes()[:head], whole, b.Bytes()[head:])
}
