// Command measurerun prints what Limbround costs: seconds, peak memory and
// database size of each step of the loop on cities of growing size, and how each
// grows, with a calibration line of the machine.
//
// Every figure is of the whole program as a person runs it, a process of its own
// against a private PostgreSQL that another process keeps open. Where a figure is
// held against the plain cost of moving the same rows, that baseline is a psql COPY on the
// same server right after, out of or into tables with the same columns, constraints and indexes.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := run(ctx)
	stop()
	if errors.Is(err, errUsage) {
		fmt.Fprintln(os.Stderr, "usage: deploy/measure [--trees N,N,...] [--keep] [--work DIR] [CITY_DIR...] | --growth FILE")
		os.Exit(2)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "measure:", err)
		os.Exit(1)
	}
}

var errUsage = errors.New("usage")

func run(ctx context.Context) error {
	bin := flag.String("bin", "", "the limbround program")
	work := flag.String("work", "", "directory to work in; a temporary one when empty")
	trees := flag.String("trees", "10000,100000,1000000", "sizes of the invented cities")
	trunks := flag.String("growth", "", "table of measured trees to hold against the growth curves; nothing else is measured then")
	keep := flag.Bool("keep", false, "keep the databases and the temporary directory")
	flag.Parse()
	if *bin == "" {
		return errUsage
	}
	home, err := makeHome(*work)
	if err != nil {
		return err
	}
	if !*keep && *work == "" { // a directory that was named is not ours to remove
		defer os.RemoveAll(home)
	}
	if *trunks != "" {
		return measureGrowth(ctx, *bin, *trunks, home)
	}
	dirs, err := cities(ctx, *bin, home, *trees, flag.Args())
	if err != nil {
		return err
	}
	fmt.Println(calibrate(home))
	var all []*ledger
	for _, dir := range dirs {
		h := &house{bin: *bin, data: filepath.Join(home, "data-"+filepath.Base(dir)), city: dir}
		l, err := h.measure(ctx)
		all = append(all, l)
		if err != nil { // what was measured by then is worth its line
			printTable(os.Stdout, all)
			return fmt.Errorf("measure %s: %w", dir, err)
		}
		if !*keep {
			if err := os.RemoveAll(h.data); err != nil {
				return err
			}
		}
	}
	printTable(os.Stdout, all)
	if *keep {
		fmt.Println("kept:", home)
	}
	return nil
}

// makeHome makes the working directory. The database server runs as a user of
// its own when we are root: the directory must be reachable for it.
func makeHome(dir string) (string, error) {
	if dir == "" {
		var err error
		if dir, err = os.MkdirTemp("", "limbround-measure-"); err != nil {
			return "", err
		}
	} else if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", err
	}
	return dir, os.Chmod(dir, 0o755)
}

// cities answers folders with the layers of a city each: those given, or else
// invented ones of the wanted sizes.
func cities(ctx context.Context, bin, home, sizes string, given []string) ([]string, error) {
	if len(given) > 0 {
		return given, nil
	}
	var dirs []string
	for _, s := range strings.Split(sizes, ",") {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 {
			return nil, errUsage
		}
		dir := filepath.Join(home, "city-"+s)
		if _, err := os.Stat(filepath.Join(dir, "trees.csv")); err != nil {
			fmt.Fprintf(os.Stderr, "making a city of %d trees\n", n)
			if _, err := command(ctx, nil, bin, "city", "make", "--trees", s, "--seed", "1", "--out", dir); err != nil {
				return nil, err
			}
		}
		dirs = append(dirs, dir)
	}
	return dirs, nil
}
