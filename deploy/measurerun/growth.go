package main

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// The table of trees measured one by one in the Urban Tree Database (McPherson,
// van Doorn & Peper 2016, RDS-2016-0005, table TS3) is too large to commit. When
// it is at hand, the program's curves are held against all of its trees. The
// table writes -1 for what was not measured.

var treeColumns = []string{"Region", "ScientificName", "Age", "DBH (cm)", "TreeHt (m)"}

// measureGrowth prints how far the measured trees of a file lie off the curves.
func measureGrowth(ctx context.Context, bin, file, home string) error {
	in, err := os.Open(file)
	if err != nil {
		return fmt.Errorf("open measured trees: %w", err)
	}
	defer in.Close()
	name := filepath.Join(home, "measured.csv")
	out, err := os.Create(name)
	if err != nil {
		return fmt.Errorf("write measured trees: %w", err)
	}
	if err := errors.Join(plainTrees(in, out), out.Close()); err != nil {
		return err
	}
	r, err := command(ctx, nil, bin, "growth", "compare", name)
	if err != nil {
		return err
	}
	_, err = os.Stdout.Write(r.out)
	return err
}

// plainTrees writes the published table in the layout that the program reads.
func plainTrees(in io.Reader, out io.Writer) error {
	r, w := csv.NewReader(in), csv.NewWriter(out)
	head, err := r.Read()
	if err != nil {
		return fmt.Errorf("read measured trees: %w", err)
	}
	at := make([]int, len(treeColumns))
	for i, want := range treeColumns {
		at[i] = -1
		for k, name := range head {
			if strings.TrimSpace(strings.TrimPrefix(name, "\ufeff")) == want {
				at[i] = k
			}
		}
		if at[i] < 0 {
			return fmt.Errorf("read measured trees: there is no column %q", want)
		}
	}
	if err := w.Write([]string{"region", "species", "age", "dbh_cm", "height_m"}); err != nil {
		return fmt.Errorf("write measured trees: %w", err)
	}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			w.Flush()
			return w.Error()
		}
		if err != nil {
			return fmt.Errorf("read measured trees: %w", err)
		}
		line := make([]string, len(at))
		for i, k := range at {
			if line[i] = strings.TrimSpace(row[k]); line[i] == "-1" {
				line[i] = ""
			}
		}
		if err := w.Write(line); err != nil {
			return fmt.Errorf("write measured trees: %w", err)
		}
	}
}
