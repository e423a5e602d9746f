package road

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"limbround/geo"
)

func pt(x, y float64) geo.Point { return geo.Point{X: 1000 + x, Y: 1000 + y} }

func line(ps ...geo.Point) []geo.Point { return ps }

// at places a stop m metres along a block.
func at(t *testing.T, g *Graph, street int64, m float64, s Side) Position {
	t.Helper()
	p, ok := g.At(street, geo.Point{}, geo.Metres(m), s)
	if !ok {
		t.Fatalf("street %d is not in the graph", street)
	}
	return p
}

func seconds(t *testing.T, g *Graph, a, b Position, truck Truck) int32 {
	t.Helper()
	out, err := g.Table(context.Background(), []Position{a}, []Position{b}, truck)
	if err != nil {
		t.Fatal(err)
	}
	return out[0]
}

// 36 km/h posted is 7 m/s for a truck: 70 m take 10 s.
const kmh = 36

func TestTableCountsSideAndOneWay(t *testing.T) {
	g := New([]Street{
		{ID: 1, Line: line(pt(0, 0), pt(70, 0)), SpeedKmh: kmh},
		{ID: 2, Line: line(pt(70, 0), pt(140, 0)), SpeedKmh: kmh},
		{ID: 3, Line: line(pt(0, 0), pt(0, 70), pt(70, 70), pt(70, 0)), SpeedKmh: kmh, OneWay: Forward},
	})
	for _, c := range []struct {
		name   string
		a, b   int64
		am, bm float64
		as, bs Side
		want   int32
	}{
		{"with the traffic", 1, 2, 0, 70, Right, Right, 20},
		{"yard to yard backwards", 2, 1, 70, 0, NoSide, NoSide, 50},
		{"far side of a two-way street", 1, 2, 0, 70, Right, Left, 50},
		{"round the block is quicker than turning", 1, 2, 0, 70, Left, Left, 70},
		{"left side back to the left side", 2, 1, 70, 0, Left, Left, 20},
		{"ahead on the same block", 1, 1, 7, 63, Right, Right, 8},
		{"across the street", 1, 1, 35, 35, Right, Left, 30},
		{"behind on a one-way block goes round", 3, 3, 140, 70, Left, Left, 30},
		{"one-way block in its direction", 3, 2, 0, 0, Left, NoSide, 45},
		{"same place", 1, 1, 35, 35, Left, Left, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := seconds(t, g, at(t, g, c.a, c.am, c.as), at(t, g, c.b, c.bm, c.bs), Truck{})
			if got != c.want {
				t.Errorf("%d s, want %d", got, c.want)
			}
		})
	}
}

func TestTableDoesNotJoinABridgeToTheRoadBelow(t *testing.T) {
	g := New([]Street{
		{ID: 1, Line: line(pt(-100, 0), pt(100, 0)), Bridge: true},
		{ID: 2, Line: line(pt(0, -100), pt(0, 0), pt(0, 100))}, // shares (0,0) with nobody's end
		{ID: 3, Line: line(pt(100, 0), pt(200, 0))},
	})
	if got := seconds(t, g, at(t, g, 1, 50, NoSide), at(t, g, 2, 50, NoSide), Truck{}); got != Unreachable {
		t.Errorf("bridge to the road below takes %d s, want unreachable", got)
	}
	if got := seconds(t, g, at(t, g, 1, 0, NoSide), at(t, g, 3, 100, NoSide), Truck{}); got == Unreachable {
		t.Error("bridge is not joined to the street at its end")
	}
}

func TestTableKeepsTruckLimits(t *testing.T) {
	g := New([]Street{
		{ID: 1, Line: line(pt(0, 0), pt(70, 0)), SpeedKmh: kmh},
		{ID: 2, Line: line(pt(70, 0), pt(140, 0)), SpeedKmh: kmh, MaxHeight: geo.Metres(3.2)},
		{ID: 3, Line: line(pt(140, 0), pt(210, 0)), SpeedKmh: kmh},
		{ID: 4, Line: line(pt(70, 0), pt(70, 140), pt(140, 140), pt(140, 0)), SpeedKmh: kmh, MaxWeightKg: 12000},
	})
	a, b := at(t, g, 1, 0, NoSide), at(t, g, 3, 70, NoSide)
	for _, c := range []struct {
		truck Truck
		want  int32
	}{
		{Truck{}, 60},
		{Truck{Height: geo.Metres(3.2)}, 60},
		{Truck{Height: geo.Metres(3.6)}, 100},
		{Truck{Height: geo.Metres(3.6), WeightKg: 15000}, Unreachable},
		{Truck{Height: geo.None, WeightKg: 15000}, 60},
	} {
		if got := seconds(t, g, a, b, c.truck); got != c.want {
			t.Errorf("%+v: %d s, want %d", c.truck, got, c.want)
		}
	}
	if got := seconds(t, g, a, at(t, g, 2, 35, NoSide), Truck{Height: geo.Metres(4)}); got != Unreachable {
		t.Errorf("stop under the low bridge takes %d s, want unreachable", got)
	}
}

func TestSnapFindsTheNearestBlock(t *testing.T) {
	g := New([]Street{
		{ID: 7, Line: line(pt(0, 0), pt(1000, 0))},
		{ID: 8, Line: line(pt(0, 100), pt(1000, 100))},
		{ID: 9, Line: line(pt(5, 5))},               // no length
		{ID: 10, Line: line(pt(3, 3), pt(3, 3))},    // no length
		{ID: 11, Line: line(geo.Point{}, pt(3, 3))}, // an invalid vertex
	})
	if g.Blocks() != 2 {
		t.Fatalf("%d blocks carry traffic, want 2", g.Blocks())
	}
	p, ok := g.Snap(pt(420, 60))
	if !ok || g.Street(p) != 8 || p.along != 420 {
		t.Errorf("snapped to street %d at %.1f m (%v), want 8 at 420", g.Street(p), p.along, ok)
	}
	for _, far := range []geo.Point{pt(500, -SnapReach-1), {}, {X: math.NaN(), Y: 1}} {
		if _, ok := g.Snap(far); ok {
			t.Errorf("snapped %v", far)
		}
	}
	if _, ok := g.At(9, pt(5, 5), geo.None, NoSide); ok {
		t.Error("found a block without length")
	}
	if p, ok := g.At(7, pt(250, 12), geo.None, Right); !ok || p.along != 250 {
		t.Errorf("foot of the stop is at %.1f m, want 250", p.along)
	}
}

// The table must agree with shortest paths worked out another way: every stop
// becomes a junction of its own and Floyd-Warshall runs over all of them.
func TestTableAgreesWithFloydWarshall(t *testing.T) {
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 1))
		const junctions = 9
		where := make([]geo.Point, junctions)
		for i := range where {
			where[i] = pt(float64(r.IntN(900)), float64(r.IntN(900)))
		}
		var streets []Street
		for id := range int64(14) {
			a, b := r.IntN(junctions), r.IntN(junctions)
			streets = append(streets, Street{
				ID: id, Line: line(where[a], pt(float64(r.IntN(900)), float64(r.IntN(900))), where[b]),
				SpeedKmh: 20 + r.IntN(60), OneWay: []OneWay{BothWays, BothWays, Forward, Backward}[r.IntN(4)],
				MaxWeightKg: []int{0, 0, 0, 8000}[r.IntN(4)],
			})
		}
		g := New(streets)
		truck := Truck{WeightKg: []int{0, 9000}[r.IntN(2)]}
		var stops []Position
		for range 8 {
			b := g.blocks[r.IntN(len(g.blocks))]
			stops = append(stops, Position{g.byID[b.id], math.Floor(b.length * r.Float64()), Side(r.IntN(3))})
		}
		got, err := g.Table(context.Background(), stops, stops, truck)
		if err != nil {
			t.Fatal(err)
		}
		want := floydWarshall(g, stops, truck)
		for i := range stops {
			for j := range stops {
				a, b := got[i*len(stops)+j], want[i][j]
				if (a == Unreachable) != math.IsInf(b, 1) || a != Unreachable && math.Abs(float64(a)-b) > 1.1 {
					t.Fatalf("seed %d: %d to %d takes %d s, want %.2f", seed, i, j, a, b)
				}
				for k := range stops {
					if x, y := got[i*len(stops)+k], got[k*len(stops)+j]; x >= 0 && y >= 0 && i != j && (a == Unreachable || a > x+y) {
						t.Fatalf("seed %d: %d to %d takes %d s, by way of %d only %d", seed, i, j, a, k, x+y)
					}
				}
			}
		}
	}
}

// floydWarshall gives the seconds between stops. Its nodes are directed blocks
// (about to be driven) and an "out" and an "in" node for each stop.
func floydWarshall(g *Graph, stops []Position, t Truck) [][]float64 {
	n := len(g.arcs)
	d := make([][]float64, n+2*len(stops))
	for i := range d {
		d[i] = make([]float64, len(d))
		for j := range d[i] {
			d[i][j] = math.Inf(1)
		}
		d[i][i] = 0
	}
	tie := func(a, b int, s float64) { d[a][b] = min(d[a][b], s) }
	type directed struct {
		block      int32
		tail, head int32
		s          float64
		forward    bool
	}
	dir := make([]directed, n)
	for i := range g.blocks {
		b := &g.blocks[i]
		if b.arcs[0] != closed {
			dir[b.arcs[0]] = directed{int32(i), b.a, b.b, float64(b.forward) / 1000, true}
		}
		if b.arcs[1] != closed {
			dir[b.arcs[1]] = directed{int32(i), b.b, b.a, float64(b.backward) / 1000, false}
		}
	}
	ok := func(block int32) bool { return g.blocks[block].maxKg <= 0 || t.WeightKg <= g.blocks[block].maxKg }
	// turn is paid by a stop that is left or reached against the way it faces.
	turn := func(p Position, a directed) float64 {
		b := &g.blocks[p.block]
		oneWay := b.forward == closed || b.backward == closed
		if p.side == NoSide {
			return UTurn / 2
		}
		if oneWay || a.forward == (p.side == Right) {
			return 0
		}
		return UTurn
	}
	part := func(p Position, a directed) float64 { // of the block driven before p
		f := p.along / g.blocks[p.block].length
		if !a.forward {
			f = 1 - f
		}
		return f
	}
	for i, a := range dir {
		if !ok(a.block) {
			continue
		}
		for j, b := range dir {
			if b.tail == a.head && ok(b.block) {
				u := 0.0
				if a.block == b.block && a.tail != a.head {
					u = UTurn
				}
				tie(i, j, a.s+u)
			}
		}
		for k, p := range stops {
			if p.block != a.block {
				continue
			}
			out, in := n+2*k, n+2*k+1
			tie(i, in, a.s*part(p, a)+turn(p, a))
			for j, b := range dir {
				if b.tail == a.head && ok(b.block) {
					u := 0.0
					if a.block == b.block && a.tail != a.head {
						u = UTurn
					}
					tie(out, j, a.s*(1-part(p, a))+turn(p, a)+u)
				}
			}
			for m, q := range stops {
				if q.block == p.block && part(q, a) >= part(p, a) {
					tie(out, n+2*m+1, a.s*(part(q, a)-part(p, a))+turn(p, a)+turn(q, a))
				}
			}
		}
	}
	for k := range d {
		for i := range d {
			for j := range d {
				d[i][j] = min(d[i][j], d[i][k]+d[k][j])
			}
		}
	}
	out := make([][]float64, len(stops))
	for i := range stops {
		for j := range stops {
			out[i] = append(out[i], d[n+2*i][n+2*j+1])
		}
	}
	return out
}

func TestTableStopsWithItsContext(t *testing.T) {
	g := New([]Street{{ID: 1, Line: line(pt(0, 0), pt(70, 0))}})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := at(t, g, 1, 0, NoSide)
	if _, err := g.Table(ctx, []Position{p}, []Position{p}, Truck{}); err == nil {
		t.Error("no error from an ended context")
	}
}

// The table of a tree week: 400 stops on a grid of 5,000 blocks.
func BenchmarkTable(b *testing.B) {
	var streets []Street
	id := int64(0)
	for x := range 50 {
		for y := range 50 {
			p := pt(float64(x)*160, float64(y)*80)
			for _, q := range []geo.Point{pt(float64(x+1)*160, float64(y)*80), pt(float64(x)*160, float64(y+1)*80)} {
				id++
				streets = append(streets, Street{ID: id, Line: line(p, q), Class: Residential})
			}
		}
	}
	g := New(streets)
	r := rand.New(rand.NewPCG(1, 1))
	stops := make([]Position, 400)
	for i := range stops {
		stops[i] = Position{int32(r.IntN(len(g.blocks))), 30, Side(1 + r.IntN(2))}
	}
	started := time.Now()
	for b.Loop() {
		if _, err := g.Table(context.Background(), stops, stops, Truck{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(time.Since(started).Seconds()/float64(b.N), "s/table")
}
