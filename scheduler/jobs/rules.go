package jobs

import (
	"context"
	"fmt"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/growth"
)

// RuleStore holds what the rules are made from.
type RuleStore interface {
	City(ctx context.Context) (scheduler.City, error)
	CurrentPolicy(ctx context.Context, on scheduler.Date) (scheduler.Policy, error)
	Species(ctx context.Context) ([]scheduler.Species, error)
}

// rules are the rules of one city on one day.
type rules struct {
	today   scheduler.Date
	policy  scheduler.Policy
	list    []scheduler.Species
	species map[string]scheduler.Species // by code
	engine  *due.Engine
}

// loadRules reads the policy in force on asOf, or today in the city when asOf
// is zero, and prepares the engine.
func loadRules(ctx context.Context, store RuleStore, now time.Time, asOf scheduler.Date) (rules, error) {
	today, err := asOf, error(nil)
	if asOf.IsZero() {
		if today, err = Today(ctx, store, now); err != nil {
			return rules{}, err
		}
	}
	p, err := store.CurrentPolicy(ctx, today)
	if err != nil {
		return rules{}, err
	}
	species, err := store.Species(ctx)
	if err != nil {
		return rules{}, err
	}
	r, err := rulesOf(p, species)
	r.today = today
	return r, err
}

// rulesOf prepares the rules of a policy that need not be in force.
func rulesOf(p scheduler.Policy, species []scheduler.Species) (rules, error) {
	r := rules{policy: p, list: species, species: make(map[string]scheduler.Species, len(species))}
	for _, s := range species {
		r.species[s.Code] = s
	}
	model, err := growth.Load()
	if err != nil {
		return r, fmt.Errorf("load growth curves: %w", err)
	}
	r.engine, err = due.New(p, model, species)
	return r, err
}

// cityStore knows the city's settings.
type cityStore interface {
	City(ctx context.Context) (scheduler.City, error)
}

// Today is the civil date that the city's clocks show.
func Today(ctx context.Context, store cityStore, now time.Time) (scheduler.Date, error) {
	zone, err := cityZone(ctx, store)
	if err != nil {
		return 0, err
	}
	return scheduler.DateOf(now.In(zone)), nil
}

func cityZone(ctx context.Context, store cityStore) (*time.Location, error) {
	city, err := store.City(ctx)
	if err != nil {
		return nil, err
	}
	zone, err := time.LoadLocation(city.TimeZone)
	if err != nil {
		return nil, fmt.Errorf("load the city's time zone: %w", err)
	}
	return zone, nil
}

// visits are the open visits that a tree should have today: those of the
// rules, with what earlier records left standing laid over them.
func (r *rules) visits(in *scheduler.DueInput) []scheduler.Visit {
	list := r.engine.Visits(in.Tree, in.Site, r.today)
	if len(in.FollowUps) > 0 {
		for i := range list {
			list[i].Carry(in.FollowUps, r.today)
		}
	}
	return list
}
