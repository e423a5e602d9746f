package file

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"

	"github.com/paulmach/osm"
	"github.com/paulmach/osm/osmpbf"
	"github.com/paulmach/osm/osmxml"

	"limbround/geo"
)

// Streets from an OpenStreetMap extract, in two passes over the file.
//
// The first pass keeps the drivable ways and counts how often each node is
// used. A node used twice (by two ways, or twice by one) is a junction; two
// streets that cross on a bridge share no node and stay apart. The second pass
// reads the positions of the nodes that were used. Each way is then cut at its
// inner junctions into blocks: one street between two junctions. Memory is
// bounded by the streets of the extract, not by the extract.

// streetColumns are the columns of every street feature. Lengths are in
// millimetres.
var streetColumns = []string{
	"ref", "name", "class", "one_way", "speed_kmh", "width_mm", "lanes", "parking",
	"truck_route", "bridge", "max_height_mm", "max_weight_kg",
}

// osmWay is a drivable way: its nodes and its tags as column values after ref.
type osmWay struct {
	id    osm.WayID
	nodes []osm.NodeID
	attrs []string
}

type osmReader struct {
	f     io.ReadSeekCloser
	box   *Box
	ways  []osmWay
	uses  map[osm.NodeID]uint8
	at    map[osm.NodeID]geo.Point
	way   int // next way to cut
	queue []Feature
	n     int
}

func newOSMReader(f io.ReadSeekCloser, kind format, o Options) (Reader, error) {
	r := &osmReader{f: f, box: o.Box, uses: map[osm.NodeID]uint8{}, at: map[osm.NodeID]geo.Point{}}
	if err := r.pass(kind, true, r.keepWay); err != nil {
		return nil, fmt.Errorf("read ways: %w", err)
	}
	if len(r.ways) == 0 {
		return nil, errors.New("the extract holds no drivable street")
	}
	if err := r.pass(kind, false, r.keepNode); err != nil {
		return nil, fmt.Errorf("read nodes: %w", err)
	}
	return r, nil
}

// pass scans the file once for ways or for nodes.
func (r *osmReader) pass(kind format, ways bool, keep func(osm.Object)) error {
	if _, err := r.f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	var s osm.Scanner
	if kind == formatPBF {
		p := osmpbf.New(context.Background(), r.f, 2)
		p.SkipRelations, p.SkipNodes, p.SkipWays = true, ways, !ways
		if !ways {
			p.FilterNode = func(n *osm.Node) bool { return r.uses[n.ID] > 0 }
		}
		s = p
	} else {
		s = osmxml.New(context.Background(), r.f)
	}
	for s.Scan() {
		keep(s.Object())
	}
	return errors.Join(s.Err(), s.Close())
}

func (r *osmReader) keepWay(o osm.Object) {
	w, ok := o.(*osm.Way)
	if !ok || len(w.Nodes) < 2 {
		return
	}
	attrs, ok := streetTags(w.Tags.Find)
	if !ok {
		return
	}
	nodes := slices.Compact(w.Nodes.NodeIDs())
	for _, id := range nodes {
		if r.uses[id] < 2 {
			r.uses[id]++
		}
	}
	r.ways = append(r.ways, osmWay{w.ID, nodes, attrs})
}

func (r *osmReader) keepNode(o osm.Object) {
	if n, ok := o.(*osm.Node); ok && r.uses[n.ID] > 0 {
		r.at[n.ID] = geo.Point{X: n.Lon, Y: n.Lat}
	}
}

// Next returns the next block.
func (r *osmReader) Next() (Feature, error) {
	for len(r.queue) == 0 {
		if r.way == len(r.ways) {
			return Feature{}, io.EOF
		}
		r.cut(&r.ways[r.way])
		r.way++
	}
	f := r.queue[0]
	r.queue = r.queue[1:]
	r.n++
	f.Line = r.n
	return f, nil
}

// cut queues the blocks of one way. Blocks are numbered along the way, before
// any filter, so that a block keeps its ref whatever box is asked for.
func (r *osmReader) cut(w *osmWay) {
	r.queue = r.queue[:0:0]
	for start, block := 0, 0; start < len(w.nodes)-1; block++ {
		end := start + 1
		for end < len(w.nodes)-1 && r.uses[w.nodes[end]] < 2 {
			end++
		}
		if f, in := r.block(w, w.nodes[start:end+1], block); in {
			r.queue = append(r.queue, f)
		}
		start = end
	}
}

func (r *osmReader) block(w *osmWay, nodes []osm.NodeID, n int) (f Feature, inBox bool) {
	var pts []geo.Point
	missing := 0
	for _, id := range nodes {
		p, ok := r.at[id]
		if !ok {
			missing++
			continue
		}
		inBox = inBox || r.box.contains(p.X, p.Y)
		if len(pts) == 0 || pts[len(pts)-1] != p {
			pts = append(pts, p)
		}
	}
	ref := "way/" + strconv.FormatInt(int64(w.id), 10) + "/" + strconv.Itoa(n)
	f = Feature{Columns: streetColumns, Values: append([]string{ref}, w.attrs...)}
	if len(pts) < 2 {
		rule := "the block has no length: all its nodes are at one position"
		if missing > 0 {
			rule = fmt.Sprintf("%d of its %d nodes are not in the extract", missing, len(nodes))
		}
		f.problem("geometry", ref, rule)
		return f, inBox || r.box == nil
	}
	f.Shape = geo.NewLine(4326, pts)
	return f, inBox
}

// Columns are the fields of a street.
func (r *osmReader) Columns() []string { return streetColumns }

// Progress counts ways cut, of all ways.
func (r *osmReader) Progress() (done, total int64) { return int64(r.way), int64(len(r.ways)) }

// Close closes the file.
func (r *osmReader) Close() error { return r.f.Close() }
