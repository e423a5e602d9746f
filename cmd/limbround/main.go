// Command limbround brings the right crew back to each of a city's trees on
// time, with what the last visit left undone: inventory, due visits, annual
// plan, crew-day packets, field records, and the next due season.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	_ "time/tzdata" // a bare machine may lack the zone files

	"github.com/alecthomas/kong"

	"limbround/scheduler"
	"limbround/scheduler/due"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, time.Now)
	stop()
	os.Exit(code)
}

// app is what every verb gets: where to read and write, the clock, and the
// settings shared by all verbs.
type app struct {
	in       io.Reader
	out, err io.Writer
	now      func() time.Time
	cli      *cli
}

// run is the whole program: tests call it as main does.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer, now func() time.Time) int {
	var c cli
	exited := -1
	k, err := kong.New(&c,
		kong.Name("limbround"),
		kong.Description("A round is the circuit a crew walks. Limbround plans and dispatches the rounds that carry every street tree from planting to maturity."),
		kong.UsageOnError(),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, FlagsLast: true}),
		kong.Writers(out, errOut),
		kong.Exit(func(code int) { exited = code }),
		kong.Vars{"version": version(), "roles": wordList(due.BranchRoles()), "signs": wordList(due.StopSigns())},
		kong.Bind(&app{in, out, errOut, now, &c}),
		kong.BindTo(ctx, (*context.Context)(nil)),
	)
	if err != nil {
		fmt.Fprintln(errOut, "error:", err)
		return exitBadUsage
	}
	cmd, err := k.Parse(args)
	if exited >= 0 { // --help or --version has printed already
		return exited
	}
	if err != nil {
		fmt.Fprintln(errOut, "error:", err)
		fmt.Fprintln(errOut, "try: limbround --help")
		return exitBadUsage
	}
	return report(errOut, cmd.Run())
}

// report prints an error for a person and returns its exit code.
func report(w io.Writer, err error) int {
	if err == nil {
		return exitOK
	}
	fmt.Fprintln(w, "error:", err)
	var e *scheduler.Error
	if errors.As(err, &e) {
		for _, f := range e.Fields {
			fmt.Fprintln(w, "  "+f.String())
		}
		if e.Hint != "" {
			fmt.Fprintln(w, "  "+e.Hint)
		}
	}
	return exitCode(err)
}
