package scheduler

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// PolicyPreview is what adopting a policy would move, counted over the city's
// trees and written nowhere.
type PolicyPreview struct {
	Policy string `json:"policy"`
	Before string `json:"policy_before"`
	AsOf   Date   `json:"as_of"`
	Trees  int    `json:"trees"`
	Looked int    `json:"looked"` // at which both rules looked; the others cannot be touched

	MoveCount
	EarlierBy  ShiftSize       `json:"earlier_by"`
	LaterBy    ShiftSize       `json:"later_by"`
	States     []StateChange   `json:"states"`
	ByKind     []KindMoves     `json:"by_kind"`
	ByDistrict []DistrictMoves `json:"by_district"`
	Words      string          `json:"words"`
}

// MoveCount counts visits by what happens to them. States counts those whose
// state changes, whether their days do or not.
type MoveCount struct {
	Earlier   int `json:"earlier"`
	Later     int `json:"later"`
	New       int `json:"new"`
	Withdrawn int `json:"withdrawn"`
	Restated  int `json:"other_state"`
}

// ShiftSize is how far the visits of one direction move, without its sign.
type ShiftSize struct {
	MedianSeasons int `json:"median_seasons"`
	MostSeasons   int `json:"most_seasons"`
	MedianDays    int `json:"median_days"`
	MostDays      int `json:"most_days"`
}

// StateChange counts visits that go from one state to another; an empty state stands for no visit.
type StateChange struct {
	From   VisitState `json:"from"`
	To     VisitState `json:"to"`
	Visits int        `json:"visits"`
}

// KindMoves are the moves of one kind of work.
type KindMoves struct {
	Kind WorkKind `json:"kind"`
	MoveCount
}

// DistrictMoves are the moves in one district; the empty one is outside every district.
type DistrictMoves struct {
	District string `json:"district"`
	MoveCount
}

func (c *MoveCount) add(s *VisitShift) {
	switch s.Move {
	case MoveEarlier:
		c.Earlier++
	case MoveLater:
		c.Later++
	case MoveNew:
		c.New++
	case MoveWithdrawn:
		c.Withdrawn++
	}
	if s.StateBefore != s.StateAfter && s.StateBefore != "" && s.StateAfter != "" {
		c.Restated++
	}
}

// ShiftTally counts shifts as they come by. It keeps how many visits moved how
// far, not the visits, so that its size does not grow with the city.
type ShiftTally struct {
	all       MoveCount
	kinds     map[WorkKind]*MoveCount
	districts map[string]*MoveCount
	states    map[[2]VisitState]int
	far       map[VisitMove]*distances
}

type distances struct{ days, seasons map[int]int } // how many visits moved by how much

// Add counts one shift.
func (t *ShiftTally) Add(s *VisitShift) {
	if t.kinds == nil {
		t.kinds, t.districts = map[WorkKind]*MoveCount{}, map[string]*MoveCount{}
		t.states, t.far = map[[2]VisitState]int{}, map[VisitMove]*distances{}
	}
	t.all.add(s)
	counted(t.kinds, s.Kind).add(s)
	counted(t.districts, s.District).add(s)
	if s.StateBefore != s.StateAfter {
		t.states[[2]VisitState{s.StateBefore, s.StateAfter}]++
	}
	if s.Move == MoveEarlier || s.Move == MoveLater {
		f := t.far[s.Move]
		if f == nil {
			f = &distances{map[int]int{}, map[int]int{}}
			t.far[s.Move] = f
		}
		f.days[max(s.Days, -s.Days)]++
		f.seasons[max(s.Seasons, -s.Seasons)]++
	}
}

func counted[K comparable](m map[K]*MoveCount, k K) *MoveCount {
	if m[k] == nil {
		m[k] = &MoveCount{}
	}
	return m[k]
}

// Fill puts the counts and their words into the preview.
func (t *ShiftTally) Fill(p *PolicyPreview) {
	p.MoveCount = t.all
	p.EarlierBy, p.LaterBy = t.far[MoveEarlier].size(), t.far[MoveLater].size()
	for _, k := range slices.Sorted(maps.Keys(t.kinds)) {
		p.ByKind = append(p.ByKind, KindMoves{k, *t.kinds[k]})
	}
	for _, d := range slices.Sorted(maps.Keys(t.districts)) {
		p.ByDistrict = append(p.ByDistrict, DistrictMoves{d, *t.districts[d]})
	}
	for k, n := range t.states {
		p.States = append(p.States, StateChange{k[0], k[1], n})
	}
	slices.SortFunc(p.States, func(a, b StateChange) int {
		return cmp.Or(cmp.Compare(b.Visits, a.Visits), cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	p.Words = p.words()
}

func (d *distances) size() ShiftSize {
	if d == nil {
		return ShiftSize{}
	}
	var s ShiftSize
	s.MedianSeasons, s.MostSeasons = middle(d.seasons)
	s.MedianDays, s.MostDays = middle(d.days)
	return s
}

// middle is the median, the lower one of two, and the largest of a count of values.
func middle(count map[int]int) (median, most int) {
	total := 0
	for v, n := range count {
		total += n
		most = max(most, v)
	}
	before := 0
	for _, v := range slices.Sorted(maps.Keys(count)) {
		if before += count[v]; 2*before >= total {
			return v, most
		}
	}
	return 0, most
}

func (p *PolicyPreview) words() string {
	if p.MoveCount == (MoveCount{}) {
		return fmt.Sprintf("No visit of %s trees moves.", thousands(p.Trees))
	}
	parts := []string{
		moved(p.Earlier, "earlier", p.EarlierBy), moved(p.Later, "later", p.LaterBy),
		thousands(p.New) + " new", thousands(p.Withdrawn) + " withdrawn", thousands(p.Restated) + " in another state",
	}
	return strings.Join(parts, "; ") + "."
}

func moved(n int, word string, by ShiftSize) string {
	visits := "visits"
	if n == 1 {
		visits = "visit"
	}
	text := fmt.Sprintf("%s %s %s", thousands(n), visits, word)
	switch {
	case n == 0:
		return text
	case by.MedianSeasons == 0:
		text += fmt.Sprintf(", within one growing season at the median (%s)", several(by.MedianDays, "day"))
	default:
		text += fmt.Sprintf(", by %s at the median", several(by.MedianSeasons, "growing season"))
	}
	if by.MostSeasons > by.MedianSeasons {
		text += fmt.Sprintf(", %s at most", several(by.MostSeasons, "growing season"))
	}
	return text
}

func several(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return thousands(n) + " " + noun + "s"
}

// thousands writes a count with its thousands apart: 4,212.
func thousands(n int) string {
	if n < 1000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%s,%03d", thousands(n/1000), n%1000)
}
