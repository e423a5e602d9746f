package api

import (
	"fmt"
	"net/http"
	"strings"

	"limbround/scheduler"
)

type packetView struct {
	Packet   scheduler.Packet
	Crew     scheduler.Crew
	Stops    []stopRow
	Acts     []act
	Editable bool
}

type stopRow struct {
	Stop    scheduler.Stop
	VisitID int64
	TreeID  int64
	Tree    string
	Species string
	Where   string
	What    string
}

func (s *server) packetPage(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID(r, "id")
	if err != nil {
		return err
	}
	p, err := s.Store.Packet(r.Context(), id)
	if err != nil {
		return err
	}
	crews, err := s.crewsByID(r)
	if err != nil {
		return err
	}
	rows, err := s.stopRows(r, &p)
	if err != nil {
		return err
	}
	return s.page(w, r, "packet", view{Desk: "day", Title: crews[p.CrewID].Name, Body: packetView{
		Packet: p, Crew: crews[p.CrewID], Stops: rows, Acts: actsOf(p.State), Editable: p.State.Live(),
	}})
}

// stopRows names each stop for a person.
func (s *server) stopRows(r *http.Request, p *scheduler.Packet) ([]stopRow, error) {
	species, err := s.speciesByCode(r)
	if err != nil {
		return nil, err
	}
	dumps, err := s.Store.Dumps(r.Context())
	if err != nil {
		return nil, err
	}
	rows := make([]stopRow, 0, len(p.Stops))
	for _, st := range p.Stops {
		row := stopRow{Stop: st, VisitID: st.VisitID, What: string(st.Kind)}
		switch st.Kind {
		case scheduler.StopTree:
			v, err := s.Store.Visit(r.Context(), st.VisitID)
			if err != nil {
				return nil, err
			}
			t, err := s.Store.Tree(r.Context(), v.TreeID)
			if err != nil {
				return nil, err
			}
			row.TreeID, row.Tree, row.Species, row.Where, row.What = t.Tree.ID, t.Tree.Ref, species[t.Tree.Species].Common, t.Site.Address, kindsText(v.Kinds)
		case scheduler.StopDump:
			row.What = "tip chips"
			for _, d := range dumps {
				if d.ID == st.DumpID {
					row.Where = d.Name
				}
			}
		}
		rows = append(rows, row)
	}
	return rows, nil
}

func kindsText(kinds []scheduler.WorkKind) string {
	words := make([]string, len(kinds))
	for i, k := range kinds {
		words[i] = strings.ReplaceAll(string(k), "_", " ")
	}
	return strings.Join(words, ", ")
}

func (s *server) packetState(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID(r, "id")
	f := form{r: r}
	rev := f.number("revision")
	if err == nil {
		err = f.err()
	}
	var p scheduler.Packet
	if err == nil {
		p, err = s.Store.SetPacketState(r.Context(), id, rev, scheduler.PacketState(r.PostFormValue("state")), s.stamp(r.Context()))
	}
	if err != nil {
		return s.showPacket(r.Context(), id, err)
	}
	back(w, r, fmt.Sprintf("/packets/%d", id), "The packet is "+strings.ReplaceAll(string(p.State), "_", " ")+".")
	return nil
}

func (s *server) packetStops(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID(r, "id")
	f := form{r: r}
	rev, stop := f.number("revision"), int64(f.number("stop"))
	if err == nil {
		err = f.err()
	}
	var edit scheduler.StopEdit
	if err == nil {
		edit, err = s.editOf(r, id, stop)
	}
	if err == nil {
		_, err = s.Verbs.EditPacket(r.Context(), id, rev, stop, edit, s.stamp(r.Context()))
	}
	if err != nil {
		return s.showPacket(r.Context(), id, err)
	}
	back(w, r, fmt.Sprintf("/packets/%d", id), "The packet is changed.")
	return nil
}

// editOf turns a button of the packet page into an edit.
func (s *server) editOf(r *http.Request, id, stop int64) (scheduler.StopEdit, error) {
	var e scheduler.StopEdit
	p, err := s.Store.Packet(r.Context(), id)
	if err != nil {
		return e, err
	}
	for _, st := range p.Stops {
		if st.ID != stop {
			continue
		}
		switch r.PostFormValue("act") {
		case "up":
			e.To = max(1, st.Seq-1)
		case "down":
			e.To = min(len(p.Stops), st.Seq+1)
		case "lock":
			locked := !st.Locked
			e.Locked = &locked
		case "remove":
			e.Remove = true
		default:
			return e, scheduler.Errorf(scheduler.Invalid, "act %q: want up, down, lock or remove", r.PostFormValue("act"))
		}
		return e, nil
	}
	return e, scheduler.Errorf(scheduler.NotFound, "packet %d has no stop %d", id, stop)
}
