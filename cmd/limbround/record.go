package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type recordCmd struct {
	Add recordAddCmd `cmd:"" help:"Take work records from a JSON file: one object, or a list."`
}

type recordAddCmd struct {
	File string `arg:"" help:"File with the record(s); - for standard input."`
}

// Run takes each record by itself; one that is refused does not hold up the others.
func (c *recordAddCmd) Run(ctx context.Context, a *app) error {
	records, err := c.read(a.in)
	if err != nil {
		return err
	}
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	res, err := a.addRecords(ctx, d, records)
	if err != nil {
		return err
	}
	if err := a.show(a.cli.JSON, res, func(w io.Writer) { recordText(w, &res) }); err != nil {
		return err
	}
	if res.Refused > 0 {
		return scheduler.Errorf(scheduler.Invalid, "%s refused", plural(res.Refused, "record"))
	}
	return nil
}

func (a *app) addRecords(ctx context.Context, d *db.DB, records []scheduler.WorkRecord) (jobs.RecordResult, error) {
	return jobs.Record{Store: d, Now: a.now}.Run(ctx, jobs.RecordRequest{Records: records, Actor: a.stamp().Actor})
}

func (c *recordAddCmd) read(in io.Reader) ([]scheduler.WorkRecord, error) {
	var b []byte
	var err error
	if c.File == "-" {
		b, err = io.ReadAll(in)
	} else {
		b, err = os.ReadFile(c.File)
	}
	if err != nil {
		return nil, scheduler.Wrap(scheduler.Invalid, "read records", err)
	}
	return parseRecords(b)
}

// parseRecords reads one record or a list. A field that does not exist is a
// misspelt one, and refused: what was written down must not be lost.
func parseRecords(b []byte) ([]scheduler.WorkRecord, error) {
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	var list []scheduler.WorkRecord
	var err error
	if t := bytes.TrimSpace(b); len(t) > 0 && t[0] == '[' {
		err = d.Decode(&list)
	} else {
		list = make([]scheduler.WorkRecord, 1)
		err = d.Decode(&list[0])
	}
	if err != nil {
		return nil, scheduler.Wrap(scheduler.Invalid, "read records", err)
	}
	if d.More() {
		return nil, scheduler.Errorf(scheduler.Invalid, "read records: something follows the first value; several records go in one list")
	}
	return list, nil
}

func recordText(w io.Writer, r *jobs.RecordResult) {
	fmt.Fprintf(w, "%d taken, %d known before, %d refused; %s closed\n", r.Taken, r.Known, r.Refused, plural(r.Closed, "visit"))
	for _, one := range r.Answers {
		if one.Answer == nil {
			fmt.Fprintf(w, "%s refused: %s\n", one.ID, one.Error)
			for _, f := range one.Faults {
				fmt.Fprintln(w, "  "+f.String())
			}
			continue
		}
		fmt.Fprintf(w, "%s: tree %d, next:\n", one.ID, one.Answer.TreeID)
		for i := range one.Answer.Next {
			visitText(w, &one.Answer.Next[i])
		}
		for _, item := range one.Answer.Watch {
			fmt.Fprintf(w, "    watch %s: %s, %s, %s\n", item.Letter, item.What, item.Diameter, text(item.Intent))
		}
	}
}
