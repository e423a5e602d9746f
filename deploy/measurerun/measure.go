package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// ground are the layers around the trees, in the order in which they go in.
var ground = []string{"districts", "sections", "streets", "walks", "wires", "signs", "depots", "dumps", "crews"}

// measure takes a city through the loop and answers what each step cost, up to
// the one that fails.
func (h *house) measure(ctx context.Context) (l *ledger, err error) {
	h.ledger = &ledger{costs: map[string]cost{}, sizes: map[string]int64{}}
	closed, err := h.open(ctx)
	if closed != nil {
		defer func() { err = errors.Join(err, closed()) }()
	}
	if err != nil {
		return h.ledger, err
	}
	for _, part := range []func(context.Context) error{h.imports, h.due, h.changes, h.rest} {
		if err := part(ctx); err != nil {
			return h.ledger, err
		}
	}
	return h.ledger, nil
}

// layer imports a layer's file, when the city has one.
func (h *house) layer(ctx context.Context, layer string) error {
	list, _ := filepath.Glob(filepath.Join(h.city, layer+".*")) // the pattern is well formed
	for _, file := range list {
		if strings.HasSuffix(file, ".yaml") || strings.Contains(file, "rejects") {
			continue
		}
		args := []string{"import", layer, file, "--rejects", filepath.Join(h.data, layer+".rejects.csv")}
		if mapping := filepath.Join(h.city, layer+".yaml"); exists(mapping) {
			args = append(args, "--mapping", mapping)
		}
		name := "import of " + layer
		if slices.Contains(ground, layer) {
			name = "import of the other layers"
		}
		var got struct{ Accepted int }
		if _, err := h.verb(ctx, name, &got, args...); err != nil {
			return err
		}
		if layer == "trees" {
			h.ledger.trees = got.Accepted
		}
	}
	return nil
}

func exists(file string) bool {
	_, err := os.Stat(file)
	return err == nil
}

func (h *house) imports(ctx context.Context) error {
	for _, layer := range ground {
		if err := h.layer(ctx, layer); err != nil {
			return err
		}
	}
	if err := h.layer(ctx, "trees"); err != nil {
		return err
	}
	if err := h.size(ctx, "trees"); err != nil {
		return err
	}
	bare, err := h.copied(ctx, "site", "tree", "measurement", "site_fact")
	if err != nil {
		return err
	}
	h.ledger.add("bare COPY of the same trees", bare)
	if err := h.layer(ctx, "history"); err != nil {
		return err
	}
	return h.size(ctx, "history")
}

func (h *house) due(ctx context.Context) error {
	if _, err := h.verb(ctx, "due, first pass", nil, "due"); err != nil {
		return err
	}
	read, err := h.copiedOut(ctx, dueReads)
	if err != nil {
		return err
	}
	h.ledger.add("COPY out of what due reads", read)
	wrote, err := h.copied(ctx, "visit")
	if err != nil {
		return err
	}
	h.ledger.add("COPY in of the visits", wrote)
	var again struct {
		Looked  int
		Written struct{ New, Changed, Withdrawn int }
	}
	for _, pass := range []struct {
		name string
		args []string
	}{{"due, unchanged", []string{"due"}}, {"due, unchanged, every tree", []string{"due", "--full"}}} {
		if _, err := h.verb(ctx, pass.name, &again, pass.args...); err != nil {
			return err
		}
		if n := again.Written.New + again.Written.Changed + again.Written.Withdrawn; n != 0 {
			return fmt.Errorf("%s: a second pass wrote %d visits", pass.name, n)
		}
	}
	return h.size(ctx, "due")
}

func (h *house) rest(ctx context.Context) error {
	for _, s := range []struct {
		name string
		args []string
	}{
		{"overdue by district", []string{"overdue"}},
		{"annual plan", []string{"year", "plan", "--year", "2027"}},
		{"packets of a week", []string{"packets", "build", "--days", "5", "--from", "2027-01-11"}},
	} {
		r, err := h.verb(ctx, s.name, nil, s.args...)
		if err != nil {
			return err
		}
		h.ledger.note(s.name, r.out)
	}
	return h.size(ctx, "all")
}

func (h *house) size(ctx context.Context, after string) error {
	n, err := h.number(ctx, "SELECT pg_database_size(current_database())")
	h.ledger.sizes[after] = n
	return err
}
