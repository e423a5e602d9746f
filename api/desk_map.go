package api

import (
	"html/template"
	"net/http"
	"net/url"
	"strconv"

	"limbround/scheduler"
)

type mapView struct {
	AsOf     scheduler.Date
	Policy   int64
	Night    scheduler.Date // the past night that was asked for
	Nights   []scheduler.OverdueNight
	Find     string
	NotFound bool
	Ground   template.HTML
	Rows     []districtRow
	District string
	Visits   []visitRow
	More     bool
	Matched  int
	Next     string
}

type districtRow struct {
	Ref, Name                                                string
	Version                                                  int
	Trees, Workable, Closed, Due, Held, NotAssessed, Overdue int
	Oldest                                                   scheduler.Date
	Minutes                                                  int64
}

type visitRow struct {
	TreeID  int64
	Tree    string
	Species string
	Where   string
	State   scheduler.VisitState
	Kind    scheduler.WorkKind
	Season  string
	Latest  scheduler.Date
	Class   int
}

const mapRows = 50

func (s *server) mapPage(w http.ResponseWriter, r *http.Request) error {
	v := mapView{Find: r.URL.Query().Get("tree"), District: r.URL.Query().Get("district")}
	if v.Find != "" {
		t, err := s.Store.TreeByRef(r.Context(), v.Find)
		switch scheduler.KindOf(err) {
		case "":
			http.Redirect(w, r, "/trees/"+strconv.FormatInt(t.Tree.ID, 10), http.StatusSeeOther)
			return nil
		case scheduler.NotFound:
			v.NotFound = true
		default:
			return err
		}
	}
	var err error
	if v.Night, err = dayOf("query.night", r.URL.Query().Get("night")); err != nil {
		return err
	}
	if v.Nights, err = s.Store.OverdueNights(r.Context()); err != nil {
		return err
	}
	table, err := s.Verbs.Overdue(r.Context(), v.Night)
	if err != nil {
		return err
	}
	v.AsOf, v.Policy = table.AsOf, table.PolicyID
	for _, row := range append(table.Rows, table.Total) {
		v.Rows = append(v.Rows, districtRow{
			Ref: row.District, Name: row.Name, Version: row.Version, Trees: row.Trees, Workable: row.Visits[scheduler.Overdue], Closed: row.Visits[scheduler.OverdueClosed],
			Due: row.Visits[scheduler.Due], Held: row.Visits[scheduler.Held], NotAssessed: row.Visits[scheduler.NotAssessed],
			Overdue: row.Late, Oldest: row.Oldest, Minutes: int64(row.CrewHours * 60),
		})
	}
	if v.Night.IsZero() { // the visits of a past night are not kept, their counts are
		if err := s.mapVisits(r, &v); err != nil {
			return err
		}
	}
	if v.Ground, err = s.ground(r.Context(), &table); err != nil {
		return err
	}
	return s.page(w, r, "map", view{Desk: "map", Title: "Map", Body: v})
}

// mapVisits lists a page of the overdue visits, of one district when it is chosen.
func (s *server) mapVisits(r *http.Request, v *mapView) error {
	after, _ := strconv.ParseInt(r.URL.Query().Get("after"), 10, 64) // anything else starts at the beginning
	visits, matched, err := s.Store.VisitList(r.Context(), scheduler.VisitFilter{State: scheduler.Overdue, District: v.District}, after, mapRows)
	if err != nil {
		return err
	}
	species, err := s.speciesByCode(r)
	if err != nil {
		return err
	}
	for i := range visits {
		x := &visits[i]
		t, err := s.Store.Tree(r.Context(), x.TreeID)
		if err != nil {
			return err
		}
		v.Visits = append(v.Visits, visitRow{
			TreeID: x.TreeID, Tree: t.Tree.Ref, Species: species[t.Tree.Species].Common, Where: t.Site.Address,
			State: x.State, Kind: x.Kind, Season: x.Season, Latest: x.Window.Latest, Class: x.Class,
		})
	}
	v.Matched, v.More = matched, matched > len(visits)
	if len(visits) == mapRows {
		v.Next = "/map?" + url.Values{"district": {v.District}, "after": {strconv.FormatInt(visits[len(visits)-1].ID, 10)}}.Encode()
	}
	return nil
}
