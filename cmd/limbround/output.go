package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
)

// printJSON writes one object, indented, as --json promises.
func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return fmt.Errorf("write result: %w", err)
	}
	return nil
}

// show writes v as JSON when --json was given, and otherwise what plain writes.
func (a *app) show(asJSON bool, v any, plain func(io.Writer)) error {
	if asJSON {
		return printJSON(a.out, v)
	}
	plain(a.out)
	return nil
}

// table writes rows in aligned columns under a header.
func table(w io.Writer, header []string, rows [][]string) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, strings.Join(header, "\t"))
	for _, r := range rows {
		fmt.Fprintln(t, strings.Join(r, "\t"))
	}
	_ = t.Flush() // the terminal is gone; nothing is left to tell
}
