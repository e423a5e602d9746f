package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"limbround/scheduler"
)

type tokenCmd struct {
	Add  tokenAddCmd  `cmd:"" help:"Give a person a bearer token; it is printed once."`
	List tokenListCmd `cmd:"" help:"List tokens."`
	End  tokenEndCmd  `cmd:"" help:"End a token by its id."`
}

type tokenAddCmd struct {
	Name string `arg:"" help:"Person or machine that will hold it."`
	Role string `help:"manager, dispatcher, analyst or crew." enum:"manager,dispatcher,analyst,crew" default:"manager"`
	Days int    `help:"Days until it ends; 0 for never." default:"0"`
}

// Run prints the secret alone on a line, so that a script can take it.
func (c *tokenAddCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	var ends time.Time
	if c.Days > 0 {
		ends = a.now().AddDate(0, 0, c.Days)
	}
	secret, err := d.AddToken(ctx, c.Name, scheduler.Role(c.Role), ends, a.stamp())
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, map[string]string{"actor": c.Name, "role": c.Role, "token": secret}, func(w io.Writer) {
		fmt.Fprintln(w, secret)
	})
}

type tokenListCmd struct{}

// Run lists the tokens without their secrets, which nobody keeps.
func (c *tokenListCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	tokens, err := d.ListTokens(ctx)
	if err != nil {
		return err
	}
	return a.show(a.cli.JSON, tokens, func(w io.Writer) {
		var rows [][]string
		for _, t := range tokens {
			ends := "never"
			if t.ExpiresAt != nil {
				ends = t.ExpiresAt.Format(time.DateOnly)
			}
			rows = append(rows, []string{t.ID, t.Actor, string(t.Role), t.MadeAt.Format(time.DateOnly), ends})
		}
		table(w, []string{"id", "actor", "role", "made", "ends"}, rows)
	})
}

type tokenEndCmd struct {
	ID string `arg:"" help:"Id as listed."`
}

// Run ends the token at once.
func (c *tokenEndCmd) Run(ctx context.Context, a *app) error {
	d, err := a.ready(ctx)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.RevokeToken(ctx, c.ID, a.stamp())
}
