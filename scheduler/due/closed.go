package due

import "limbround/scheduler"

// kindSet is a set of work kinds, one bit each in the order of kindOrder.
type kindSet uint32

// kindOrder lists the kinds from the one that leads a visit of equal class to the one that follows.
var kindOrder = [...]scheduler.WorkKind{
	scheduler.MakeSafe, scheduler.Removal, scheduler.Training, scheduler.RotationPrune, scheduler.Restoration,
	scheduler.RoadClearance, scheduler.WalkClearance, scheduler.SightClearance, scheduler.FirstLook,
	scheduler.Establishment, scheduler.BasalSprouts, scheduler.Support, scheduler.Inspection, scheduler.Watering,
	scheduler.StumpGrinding, scheduler.Replanting,
}

// rank is the place of a kind in kindOrder.
func rank(k scheduler.WorkKind) int {
	for i, w := range kindOrder {
		if w == k {
			return i
		}
	}
	return len(kindOrder)
}

func setOf(kinds ...scheduler.WorkKind) kindSet {
	var s kindSet
	for _, k := range kinds {
		s |= 1 << rank(k)
	}
	return s
}

func (s kindSet) has(k scheduler.WorkKind) bool { return s&(1<<rank(k)) != 0 }

// liveCuts are the kinds that cut live wood. A first look is among them: it
// takes what cannot wait, so it is planned into an open season.
var liveCuts = setOf(scheduler.Training, scheduler.RotationPrune, scheduler.Restoration, scheduler.RoadClearance,
	scheduler.WalkClearance, scheduler.SightClearance, scheduler.FirstLook, scheduler.BasalSprouts)

// ban is one season of a policy as it touches one species.
type ban struct {
	rule  *scheduler.Season
	kinds kindSet
}

// bansOf picks the seasons of the given kinds that touch a species group.
func bansOf(rules []scheduler.Season, group string, kinds ...scheduler.SeasonKind) []ban {
	var out []ban
	for i := range rules {
		r := &rules[i]
		if !contains(kinds, r.Kind) || (len(r.Groups) > 0 && !contains(r.Groups, group)) {
			continue
		}
		var set kindSet
		for _, k := range kindOrder {
			if r.Touches(k) {
				set |= setOf(k)
			}
		}
		out = append(out, ban{rule: r, kinds: set})
	}
	return out
}

func contains[T comparable](list []T, v T) bool {
	for _, w := range list {
		if w == v {
			return true
		}
	}
	return false
}

// inside reports whether d lies in the rule's span of days.
func (b *ban) inside(d scheduler.Date) bool {
	_, m, day := civil(d)
	md := m*100 + day
	from, to := b.rule.From.Month*100+b.rule.From.Day, b.rule.To.Month*100+b.rule.To.Day
	if from <= to {
		return from <= md && md <= to
	}
	return md >= from || md <= to
}

// closes reports whether the rule forbids the kind on d.
func (b *ban) closes(k scheduler.WorkKind, d scheduler.Date) bool {
	if !b.kinds.has(k) {
		return false
	}
	return b.inside(d) == (b.rule.Kind == scheduler.SeasonClosed)
}

// closing is the rule that forbids the kind on d, nil when the day is open.
func (p *profile) closing(k scheduler.WorkKind, d scheduler.Date) *ban {
	for i := range p.bans {
		if p.bans[i].closes(k, d) {
			return &p.bans[i]
		}
	}
	return nil
}

// end is the last day of the closure that d lies in.
func (b *ban) end(d scheduler.Date) scheduler.Date {
	y, _, _ := civil(d)
	if b.rule.Kind == scheduler.SeasonAllowed {
		from := onDay(y, b.rule.From)
		if from <= d {
			from = onDay(y+1, b.rule.From)
		}
		return from - 1
	}
	to := onDay(y, b.rule.To)
	if to < d {
		to = onDay(y+1, b.rule.To)
	}
	return to
}

// begin is the first day of the closure that d lies in.
func (b *ban) begin(d scheduler.Date) scheduler.Date {
	y, _, _ := civil(d)
	if b.rule.Kind == scheduler.SeasonAllowed {
		to := onDay(y, b.rule.To)
		if to >= d {
			to = onDay(y-1, b.rule.To)
		}
		return to + 1
	}
	from := onDay(y, b.rule.From)
	if from > d {
		from = onDay(y-1, b.rule.From)
	}
	return from
}

const maxHops = 64 // closures that overlap are passed one after another; more means that no day is open

// opens is the first day from d on which the kind may be done; 0 when the
// policy leaves none open.
func (p *profile) opens(k scheduler.WorkKind, d scheduler.Date) scheduler.Date {
	for range maxHops {
		b := p.closing(k, d)
		if b == nil {
			return d
		}
		d = b.end(d) + 1
	}
	return 0
}

// openUntil is the last day up to d on which the kind may be done; 0 for none.
func (p *profile) openUntil(k scheduler.WorkKind, d scheduler.Date) scheduler.Date {
	for range maxHops {
		b := p.closing(k, d)
		if b == nil {
			return d
		}
		d = b.begin(d) - 1
	}
	return 0
}

// run is the last day of the open run that the open day d belongs to, no later than to.
func (p *profile) run(k scheduler.WorkKind, d, to scheduler.Date) scheduler.Date {
	for i := range p.bans {
		b := &p.bans[i]
		if !b.kinds.has(k) {
			continue
		}
		y, _, _ := civil(d)
		var next scheduler.Date
		if b.rule.Kind == scheduler.SeasonAllowed {
			if next = onDay(y, b.rule.To) + 1; next <= d {
				next = onDay(y+1, b.rule.To) + 1
			}
		} else if next = onDay(y, b.rule.From); next <= d {
			next = onDay(y+1, b.rule.From)
		}
		to = min(to, next-1)
	}
	return to
}

// fit cuts a season to the days on which the kind may be done: the first and
// the last open day in it. A season without one is moved earlier: to the last
// open run before it, no longer than the season was (move earlier rather than
// later).
func (p *profile) fit(k scheduler.WorkKind, from, to scheduler.Date) (first, last scheduler.Date) {
	if len(p.bans) == 0 {
		return from, to
	}
	first = p.opens(k, from)
	if first != 0 && first <= to {
		return first, p.openUntil(k, to)
	}
	last = p.openUntil(k, from)
	if last == 0 {
		return from, to // a policy that closes the whole year; engine.New refuses it
	}
	first = p.opens(k, last-(to-from))
	return first, last
}
