package main

import (
	"context"
	"fmt"
	"io"

	"limbround/db"
	"limbround/scheduler"
)

// listing is a verb that prints the first rows of a list and says how many more there are.
type listing[T any] struct {
	limit int
	head  []string
	more  string // what the rows beyond the limit are, in "and 3 older; see --limit"
	read  func(*db.DB) (list []T, matched int, err error)
	row   func(*T) []string
}

func (l listing[T]) run(ctx context.Context, a *app) error {
	if l.limit < 1 {
		return scheduler.Errorf(scheduler.Invalid, "limit %d: want 1 or more", l.limit)
	}
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	list, matched, err := l.read(d)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, list, func(w io.Writer) {
		var rows [][]string
		for i := range list {
			rows = append(rows, l.row(&list[i]))
		}
		table(w, l.head, rows)
		if n := matched - len(list); n > 0 {
			fmt.Fprintf(w, "and %d %s; see --limit\n", n, l.more)
		}
	})
}
