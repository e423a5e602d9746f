package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strconv"

	"limbround/scheduler"
	"limbround/scheduler/crewday/sheet"
	"limbround/scheduler/jobs"
)

type packetsCmd struct {
	Build packetsBuildCmd `cmd:"" help:"Build draft packets: who goes where, in which order."`
	List  packetsListCmd  `cmd:"" help:"List the packets of a span of days."`
	Issue packetsIssueCmd `cmd:"" help:"Issue a packet to its crew."`
	Print packetsPrintCmd `cmd:"" help:"Write a packet as a page to print: front page, map, tree cards."`
}

type packetsBuildCmd struct {
	From scheduler.Date `help:"First day." required:"" placeholder:"DATE"`
	Days int            `help:"Number of days." default:"5"`
	Keep bool           `help:"Keep drafts that are there instead of building those crew-days again."`
}

// Run builds and stores the drafts.
func (c *packetsBuildCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	res, err := jobs.Pack{Store: d, Now: a.now}.Run(ctx, jobs.PackRequest{From: c.From, Days: c.Days, Replace: !c.Keep, Actor: a.stamp().Actor})
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, res, func(w io.Writer) { packText(w, &res) })
}

func packText(w io.Writer, r *jobs.PackResult) {
	m := r.Minutes
	fmt.Fprintf(w, "%d packets with %d stops; paid %s h: yard %s, drive %s, traffic set-up %s, work %s, dump runs %s, break %s; left over %s\n",
		r.Packets, r.Stops, hm(m.Paid()), hm(m.Yard), hm(m.Drive), hm(m.SetUp), hm(m.Work), hm(m.Dump), hm(m.Break), hm(m.Slack))
	fmt.Fprintf(w, "No plan for the same visits pays less than %s h.\n", hm(r.Bound))
	why := map[string]int{}
	for _, u := range r.Unserved {
		why[scheduler.Gist(u.Reason)]++
	}
	for _, row := range counted(why) {
		fmt.Fprintf(w, "  left out: %s\n", row)
	}
}

type packetsListCmd struct {
	From scheduler.Date `help:"First day." required:"" placeholder:"DATE"`
	Days int            `help:"Number of days." default:"7"`
}

// Run lists live and completed packets.
func (c *packetsListCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	list, err := d.PacketList(ctx, c.From, c.From.AddDays(c.Days-1), false)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, list, func(w io.Writer) {
		var rows [][]string
		for _, p := range list {
			rows = append(rows, []string{
				strconv.FormatInt(p.ID, 10), p.Day.String(), strconv.FormatInt(p.CrewID, 10), text(p.State),
				strconv.Itoa(len(p.Stops)), hm(p.Minutes.Paid()), hm(p.Bound), strconv.Itoa(p.Revision),
			})
		}
		table(w, []string{"packet", "day", "crew", "state", "stops", "paid", "least", "revision"}, rows)
	})
}

type packetsIssueCmd struct {
	Packet   int64 `arg:"" help:"Number of the packet."`
	Revision int   `help:"Revision that you saw." default:"1"`
}

// Run issues the packet, unless a ticket of its crew has expired.
func (c *packetsIssueCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	p, err := d.SetPacketState(ctx, c.Packet, c.Revision, scheduler.PacketIssued, a.stamp())
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, p, func(w io.Writer) { fmt.Fprintf(w, "Packet %d is issued for %s.\n", p.ID, p.Day) })
}

type packetsPrintCmd struct {
	Packet int64  `arg:"" help:"Number of the packet."`
	Out    string `help:"File for the page." default:"-" placeholder:"FILE"`
	URL    string `help:"Address of the server, for the codes on the cards." default:"http://127.0.0.1:8470"`
}

// Run writes one HTML page; a browser prints it on Letter or A4.
func (c *packetsPrintCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	p, err := jobs.Sheet{Store: d, Now: a.now}.Run(ctx, c.Packet, c.URL+"/card/")
	if err != nil {
		return err
	}
	if c.Out == "-" {
		return sheet.Render(a.out, p)
	}
	f, err := os.Create(c.Out)
	if err != nil {
		return scheduler.Wrap(scheduler.Invalid, "write "+c.Out, err)
	}
	if err := sheet.Render(f, p); err != nil {
		_ = f.Close() // the first error says more
		return err
	}
	if err := f.Close(); err != nil {
		return scheduler.Wrap(scheduler.Unavailable, "write "+c.Out, err)
	}
	return a.show(a.cli.JSON, map[string]any{"packet": p.Packet.ID, "file": c.Out, "cards": len(p.Cards)}, func(w io.Writer) {
		fmt.Fprintf(w, "%s: front page, stops and %d tree cards.\n", c.Out, len(p.Cards))
	})
}
