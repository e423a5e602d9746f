package api

import (
	"bytes"
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
	"limbround/scheduler/crewday/sheet"
	"limbround/scheduler/jobs"
)

// PacketInput names one packet; the type is exported because the framework reads embedded fields of exported types only.
type PacketInput struct {
	ID int64 `path:"id" minimum:"1"`
}

type packetOutput struct {
	ETag string `header:"ETag"`
	Body scheduler.Packet
}

type packetListInput struct {
	From     string `query:"from" format:"date" doc:"First day; today when absent"`
	To       string `query:"to" format:"date" doc:"Last day; six days after the first when absent"`
	Recalled bool   `query:"recalled" doc:"Also recalled packets"`
}

type packetListOutput struct {
	Body list[scheduler.Packet]
}

type packetNewInput struct {
	Body struct {
		From scheduler.Date `json:"from"`
		Days int            `json:"days" required:"true" minimum:"1" maximum:"31"`
	}
}

type packetStateInput struct {
	PacketInput
	IfMatch
	Body struct {
		State scheduler.PacketState `json:"state" required:"true" enum:"issued,started,completed,recalled,weather_hold"`
	}
}

// StopInput names one stop of a packet seen at a revision.
type StopInput struct {
	PacketInput
	IfMatch
	Stop int64 `path:"stop" minimum:"1"`
}

type stopEditInput struct {
	StopInput
	Body scheduler.StopEdit
}

func (s *server) packetOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/packets", "list-packets", "Packets of a span of days with their stops", s.listPackets)
	handle(s, a, http.MethodPost, "/packets", "build-packets", "Build draft packets for a span of days as a job",
		func(ctx context.Context, in *packetNewInput) (*jobOutput, error) {
			if in.Body.From.IsZero() {
				return nil, &scheduler.Error{Kind: scheduler.Invalid, Message: "from: the first day is missing", Fields: []scheduler.Fault{{Field: "body.from", Rule: "a date is required"}}}
			}
			return s.queued(ctx, jobs.PacketsArgs{From: in.Body.From, Days: in.Body.Days, Actor: who(ctx).actor})
		}, status(http.StatusAccepted))
	handle(s, a, http.MethodGet, "/packets/{id}", "get-packet", "One packet with its stops in order",
		func(ctx context.Context, in *PacketInput) (*packetOutput, error) {
			p, err := s.Store.Packet(ctx, in.ID)
			return packetBody(p, err)
		})
	handle(s, a, http.MethodPost, "/packets/{id}/state", "move-packet-on", "Issue, start, complete, recall a packet or put it on weather hold",
		func(ctx context.Context, in *packetStateInput) (*packetOutput, error) {
			rev, err := in.revision()
			if err != nil {
				return nil, err
			}
			p, err := s.Store.SetPacketState(ctx, in.ID, rev, in.Body.State, s.stamp(ctx))
			return packetBody(p, s.showPacket(ctx, in.ID, err))
		})
	handle(s, a, http.MethodPatch, "/packets/{id}/stops/{stop}", "edit-stop", "Move a stop within its packet, lock it or free it",
		func(ctx context.Context, in *stopEditInput) (*packetOutput, error) {
			return s.editStop(ctx, &in.StopInput, in.Body)
		})
	handle(s, a, http.MethodDelete, "/packets/{id}/stops/{stop}", "remove-stop", "Take a stop out; its visit is open for another packet",
		func(ctx context.Context, in *StopInput) (*packetOutput, error) {
			return s.editStop(ctx, in, scheduler.StopEdit{Remove: true})
		}, status(http.StatusOK))
}

func packetBody(p scheduler.Packet, err error) (*packetOutput, error) {
	return &packetOutput{etag(p.Revision), p}, err
}

func (s *server) editStop(ctx context.Context, in *StopInput, e scheduler.StopEdit) (*packetOutput, error) {
	rev, err := in.revision()
	if err != nil {
		return nil, err
	}
	p, err := s.Verbs.EditPacket(ctx, in.ID, rev, in.Stop, e, s.stamp(ctx))
	return packetBody(p, s.showPacket(ctx, in.ID, err))
}

// showPacket adds the packet as it is now to the refusal of a change.
func (s *server) showPacket(ctx context.Context, id int64, err error) error {
	return showNow(err, func() (scheduler.Packet, int, error) {
		p, err := s.Store.Packet(ctx, id)
		return p, p.Revision, err
	})
}

func (s *server) listPackets(ctx context.Context, in *packetListInput) (*packetListOutput, error) {
	from, err := dayOf("query.from", in.From)
	if err != nil {
		return nil, err
	}
	to, err := dayOf("query.to", in.To)
	if err != nil {
		return nil, err
	}
	if from.IsZero() {
		city, err := s.Store.City(ctx)
		if err != nil {
			return nil, err
		}
		from = s.today(city)
	}
	if to.IsZero() {
		to = from.AddDays(6)
	}
	if to < from || to > from.AddDays(366) {
		return nil, &scheduler.Error{
			Kind: scheduler.Invalid, Message: "the span of days is not usable",
			Fields: []scheduler.Fault{{Field: "query.to", Value: in.To, Rule: "must be from the first day to a year after it"}},
		}
	}
	packets, err := s.Store.PacketList(ctx, from, to, in.Recalled)
	return &packetListOutput{whole(packets)}, err
}

// dayOf reads a date parameter; an absent one is no date.
func dayOf(field, text string) (scheduler.Date, error) {
	if text == "" {
		return 0, nil
	}
	d, err := scheduler.ParseDate(text)
	if err != nil {
		return 0, &scheduler.Error{Kind: scheduler.Invalid, Message: "a date cannot be read", Fields: []scheduler.Fault{{Field: field, Value: text, Rule: "must be a day written YYYY-MM-DD"}}}
	}
	return d, nil
}

// packetSheet answers the printed packet as one HTML page.
func (s *server) packetSheet(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID(r, "id")
	if err != nil {
		return err
	}
	p, err := s.Verbs.Sheet(r.Context(), id, origin(r)+"/card/")
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := sheet.Render(&b, p); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(b.Bytes()) // the browser may be gone
	return nil
}

// origin is the address under which the client reached us.
func origin(r *http.Request) string {
	if r.TLS != nil || r.Header.Get("X-Forwarded-Proto") == "https" {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}
