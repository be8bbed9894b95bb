//go:build !js

package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"syscall"

	"plainleaf/app/fault"
	"plainleaf/app/plan"
	"plainleaf/app/printout"
	"plainleaf/app/produce"
	"plainleaf/app/render"
	"plainleaf/build/press"
)

// formats are what a sheet can be written as.
var formats = []string{"html", "text", "eml", "ics", "pdf", "json"}

// delivered is one sheet as the bytes of a format.
func delivered(in produce.Input, pl plan.Plan, docs []render.Doc, format, to string, o printout.Options) ([]byte, fault.List) {
	var faults fault.List
	write := map[string]func() ([]byte, error){
		"html": func() ([]byte, error) { return printout.HTML(docs, o) },
		"text": func() ([]byte, error) { return printout.Text(docs, o) },
		"json": func() ([]byte, error) { return render.JSON(docs) },
	}[format]
	if write != nil {
		data, err := write()
		if err != nil {
			faults.Add("FILE-WRITE", "", "%v", err)
		}
		return data, faults
	}
	switch format {
	case "ics":
		return produce.Calendar(in, pl, docs)
	case "pdf":
		return pdf(in, docs, o)
	}
	return draft(in, pl, docs, to, o)
}

// draft is a mail to send, with the sheet and, where it has any, its dates.
func draft(in produce.Input, pl plan.Plan, docs []render.Doc, to string, o printout.Options) ([]byte, fault.List) {
	parts, faults := produce.Attachments(in, pl, docs, o)
	if len(faults) > 0 {
		return nil, faults
	}
	return produce.Mail(in, docs, parts, to)
}

// interrupted is the code of a fault that ends a batch.
const interrupted = "FILE-INTERRUPTED"

// pdf prints the sheet through an installed browser.
func pdf(in produce.Input, docs []render.Doc, o printout.Options) ([]byte, fault.List) {
	var faults fault.List
	page, err := printout.HTML(docs, o)
	if err != nil {
		faults.Add("FILE-WRITE", "", "%v", err)
		return nil, faults
	}
	// An interrupt still ends the browser and clears away what was written for it.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	data, err := press.Print(ctx, page, in.Case.Issued)
	switch {
	case ctx.Err() != nil:
		faults.Add(interrupted, "", "interrupted; what stood there before stays")
	case errors.Is(err, press.ErrNoBrowser):
		faults.Add("FILE-BROWSER", "", "%v", err)
	case err != nil:
		faults.Add("FILE-PDF", "", "%v", err)
	}
	return data, faults
}
