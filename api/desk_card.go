package api

import (
	"fmt"
	"net/http"
	"slices"

	"github.com/google/uuid"

	"limbround/scheduler"
)

type cardView struct {
	Packets []cardPacket
}

type cardPacket struct {
	Crew  string
	Day   scheduler.Date
	State scheduler.PacketState
	Stops []stopRow
}

type stopView struct {
	Visit    scheduler.Visit
	Tree     scheduler.Tree
	Site     scheduler.Site
	Species  scheduler.Species
	RecordID string
	PacketID int64
	Codes    []scheduler.CouldNot
	Intents  []scheduler.Intent
	Sides    []scheduler.Side
}

// cardDays is how far around today the Card looks for issued packets.
const cardDays = 14

func (s *server) cardPage(w http.ResponseWriter, r *http.Request) error {
	packets, err := s.issued(r)
	if err != nil {
		return err
	}
	crews, err := s.crewsByID(r)
	if err != nil {
		return err
	}
	var v cardView
	for i := range packets {
		rows, err := s.stopRows(r, &packets[i])
		if err != nil {
			return err
		}
		v.Packets = append(v.Packets, cardPacket{crews[packets[i].CrewID].Name, packets[i].Day, packets[i].State, rows})
	}
	return s.page(w, r, "card", view{Desk: "card", Title: "Card", Body: v})
}

// issued lists the packets that crews may be out with.
func (s *server) issued(r *http.Request) ([]scheduler.Packet, error) {
	city, err := s.Store.City(r.Context())
	if err != nil {
		return nil, err
	}
	today := s.today(city)
	all, err := s.Store.PacketList(r.Context(), today.AddDays(-cardDays), today.AddDays(cardDays), false)
	var out []scheduler.Packet
	for _, p := range all {
		if p.State == scheduler.PacketIssued || p.State == scheduler.PacketStarted {
			out = append(out, p)
		}
	}
	return out, err
}

func (s *server) stopPage(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID(r, "visit")
	if err != nil {
		return err
	}
	v := stopView{
		RecordID: uuid.NewString(), Codes: scheduler.CouldNots(),
		Intents: []scheduler.Intent{scheduler.DecideNext, scheduler.RemoveLater, scheduler.HoldTier, scheduler.WatchOnly},
		Sides:   []scheduler.Side{scheduler.SideRoad, scheduler.SideWalk, scheduler.SideUpStreet, scheduler.SideDownStreet},
	}
	if v.Visit, err = s.Store.Visit(r.Context(), id); err != nil {
		return err
	}
	t, err := s.Store.Tree(r.Context(), v.Visit.TreeID)
	if err != nil {
		return err
	}
	v.Tree, v.Site = t.Tree, t.Site
	species, err := s.speciesByCode(r)
	if err != nil {
		return err
	}
	v.Species = species[v.Tree.Species]
	packets, err := s.issued(r)
	if err != nil {
		return err
	}
	for i := range packets {
		for _, st := range packets[i].Stops {
			if st.VisitID == id {
				v.PacketID = packets[i].ID
			}
		}
	}
	return s.page(w, r, "stop", view{Desk: "card", Title: v.Tree.Ref, Body: v})
}

// stopRecord takes the form of a stop as a work record.
func (s *server) stopRecord(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID(r, "visit")
	if err != nil {
		return err
	}
	v, err := s.Store.Visit(r.Context(), id)
	if err != nil {
		return err
	}
	t, err := s.Store.Tree(r.Context(), v.TreeID)
	if err != nil {
		return err
	}
	rec, err := recordOf(r, &v, &t.Tree, who(r.Context()).actor, s.Now())
	if err != nil {
		return err
	}
	ans, err := s.Verbs.Record(r.Context(), rec, s.stamp(r.Context()))
	if scheduler.KindOf(err) == scheduler.Clash && s.recorded(r, &rec) {
		back(w, r, "/card", "This form was recorded before, and nothing was changed. For a correction open the card of the tree anew.")
		return nil
	}
	if err != nil {
		return err
	}
	word := "Recorded. No next visit."
	if len(ans.Next) > 0 {
		word = fmt.Sprintf("Recorded. Next: %s, %s.", kindsText(ans.Next[0].Kinds), ans.Next[0].When())
	}
	back(w, r, "/card", word)
	return nil
}

// recorded reports whether the record's id is on the tree's record already: its
// button was pressed twice, and the clock has moved on in between.
func (s *server) recorded(r *http.Request, rec *scheduler.WorkRecord) bool {
	list, err := s.Store.RecordsOfTree(r.Context(), rec.TreeID)
	return err == nil && slices.ContainsFunc(list, func(e scheduler.WorkEntry) bool { return e.Record.ID == rec.ID })
}
