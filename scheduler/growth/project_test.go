package growth

import (
	"math"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

var today = scheduler.NewDate(2026, 11, 25)

func TestProjectionStartsFromTheBestFact(t *testing.T) {
	c := load(t).Curve("LoMidW", scheduler.Species{Scientific: "Acer rubrum"})
	planted := scheduler.NewDate(2016, 4, 1)
	measuredOn := scheduler.NewDate(2024, 11, 1)
	for _, tt := range []struct {
		name  string
		tree  scheduler.Tree
		basis string
		on    scheduler.Date
		dbh   geo.Length
	}{
		{"measured", scheduler.Tree{DBH: 152, MeasuredOn: measuredOn, Planted: planted, Caliper: 51}, FromDBH, measuredOn, 152},
		{"measured, no day", scheduler.Tree{DBH: 152}, FromDBHToday, today, 152},
		{"measured before planting", scheduler.Tree{DBH: 400, MeasuredOn: planted.AddDays(-1), Planted: planted}, FromPlanting, planted.AddYears(5), 68},
		{"height only", scheduler.Tree{DBH: geo.None, Height: 6000, MeasuredOn: measuredOn}, FromHeight, measuredOn, 105},
		{"planting date", scheduler.Tree{Planted: planted, DBH: geo.None, Caliper: geo.None}, FromPlanting, planted.AddYears(5), 68},
		{"caliper at planting", scheduler.Tree{Planted: planted, Caliper: 51, DBH: geo.None}, FromCaliper, planted, 51},
		{"caliper after two seasons", scheduler.Tree{Planted: planted, Caliper: 51}, FromCaliper, planted.AddYears(2), 51},
		{"caliper after seven", scheduler.Tree{Planted: planted, Caliper: 51}, FromCaliper, planted.AddYears(7), 119}, // curve age 3.7 + 7 - 2.0
		{"nothing", scheduler.Tree{DBH: geo.None, Height: geo.None, Caliper: geo.None}, FromNothing, today, geo.None},
	} {
		p := c.Project(tt.tree, today)
		got := p.At(tt.on)
		if p.Basis != tt.basis || max(got.DBH-tt.dbh, tt.dbh-got.DBH) > 2 {
			t.Errorf("%s: basis %q, dbh %d mm on %s, want %q and %d", tt.name, p.Basis, got.DBH, tt.on, tt.basis, tt.dbh)
		}
	}
}

func TestProjectionKeepsWhatWasMeasured(t *testing.T) {
	c := load(t).Curve("NoEast", scheduler.Species{Scientific: "Quercus palustris"})
	tree := scheduler.Tree{DBH: 250, Height: 7000, Crown: 9000, MeasuredOn: today} // low and wide for the curve: 9.09 m
	p := c.Project(tree, today)
	now, later := p.At(today), p.At(today.AddYears(10))
	if now.DBH != 250 || now.Height != 7000 || now.Crown != 9000 {
		t.Errorf("on the day of measuring: %+v", now)
	}
	grown := c.Height(later.DBH.CM()) - c.Height(25)
	if math.Abs(later.Height.M()-7-grown) > 0.002 || later.DBH != 380 || later.Age-now.Age < 9.99 {
		t.Errorf("ten years on: %+v, want 38 cm and %.2f m more height", later, grown)
	}
	before := p.At(today.AddYears(-5))
	if before.DBH != 185 || before.Height >= now.Height {
		t.Errorf("five years back: %+v", before)
	}
}

func TestProjectionOffTheRange(t *testing.T) {
	m := load(t)
	maple := m.Curve("NoEast", scheduler.Species{Scientific: "Acer platanoides"}) // 5.6 cm at age 0
	small := maple.Project(scheduler.Tree{DBH: 30, MeasuredOn: today}, today)
	if s := small.At(today); s.DBH != 30 || s.Beyond {
		t.Errorf("a whip of 3 cm: %+v", s)
	}
	if s := small.At(today.AddYears(4)); s.DBH <= 60 || s.DBH >= 70 {
		t.Errorf("four years on: %+v, want 3 cm and the growth of four years", s)
	}
	locust := m.Curve("MidWst", scheduler.Species{Scientific: "Gleditsia triacanthos"})
	big := locust.Project(scheduler.Tree{DBH: 700, MeasuredOn: today}, today)
	if s := big.At(today); s.DBH != 700 || !s.Beyond {
		t.Errorf("70 cm today on a curve to 53.8: %+v, want it held and beyond", s)
	}
	if s := big.At(today.AddYears(9)); s.DBH != 700 || !s.Beyond {
		t.Errorf("70 cm on a curve to 53.8: %+v, want it held and beyond", s)
	}
	old := locust.Project(scheduler.Tree{Planted: today.AddYears(-30)}, today)
	if s := old.At(today); s.DBH != 538 || !s.Beyond || s.Age < 29.9 {
		t.Errorf("planted 30 years ago: %+v, want 53.8 cm, beyond", s)
	}
}

func TestWarmClimateHasNoLag(t *testing.T) {
	c := load(t).Curve("CenFla", scheduler.Species{Scientific: "Quercus virginiana"})
	p := c.Project(scheduler.Tree{Planted: today, Caliper: 52}, today) // 5.2 cm is curve age 4
	for years, want := range map[int]geo.Length{0: 52, 2: 112, 4: 170, 9: 304, 16: 471} {
		if got := p.At(today.AddYears(years)).DBH; max(got-want, want-got) > 2 {
			t.Errorf("year %d: dbh %d mm, want %d", years, got, want)
		}
	}
}

func TestPalm(t *testing.T) {
	c := load(t).Curve("CenFla", scheduler.Species{Scientific: "Sabal palmetto", Habit: scheduler.Palm})
	if !c.Palm() || c.MaxAge < 10 || c.MaxAge > palmYears {
		t.Fatalf("curve %+v", c)
	}
	p := c.Project(scheduler.Tree{DBH: 300, Height: 4000, MeasuredOn: today}, today)
	s := p.At(today)
	if p.Basis != FromHeight || s.DBH != 300 || s.Height != 4000 {
		t.Errorf("basis %q, %+v", p.Basis, s)
	}
	if later := p.At(today.AddYears(5)); later.Height <= 4000 || later.Height > 9420 || later.DBH != 300 {
		t.Errorf("five years on: %+v", later)
	}
	if got := c.AtAge(3).Height; got != 1270 {
		t.Errorf("age 3: %s, want the published 1.27 m", got)
	}
}

func TestZeroCurve(t *testing.T) {
	c := load(t).Curve("Atlantis", scheduler.Species{Scientific: "Acer rubrum"})
	if c.Known() || c.Fallback == "" {
		t.Fatalf("curve %+v", c)
	}
	p := c.Project(scheduler.Tree{DBH: 100, MeasuredOn: today}, today)
	if s := p.At(today); p.Known() || s.DBH != geo.None || s.Height != geo.None {
		t.Errorf("projection %+v, size %+v", p, s)
	}
	cm, _ := c.DBH(10)
	if cm+c.Age(5)+c.Height(5)+c.Crown(5)+c.CrownBase(5) != 0 || c.AtAge(5).DBH != geo.None {
		t.Error("the zero curve has sizes")
	}
}

func TestProjectionDoesNotAllocate(t *testing.T) {
	c := load(t).Curve("NoEast", scheduler.Species{Scientific: "Platanus x acerifolia"})
	tree := scheduler.Tree{DBH: 152, Height: 7000, MeasuredOn: today}
	var sink geo.Length
	if n := testing.AllocsPerRun(100, func() {
		p := c.Project(tree, today)
		sink += p.At(today.AddDays(400)).DBH
	}); n != 0 {
		t.Errorf("%g allocations, want none", n)
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, err := Load(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkProject(b *testing.B) {
	c := load(b).Curve("NoEast", scheduler.Species{Scientific: "Platanus x acerifolia"})
	tree := scheduler.Tree{DBH: 152, Height: 7000, MeasuredOn: today}
	b.ReportAllocs()
	for b.Loop() {
		c.Project(tree, today)
	}
}

func BenchmarkAt(b *testing.B) {
	c := load(b).Curve("NoEast", scheduler.Species{Scientific: "Platanus x acerifolia"})
	p := c.Project(scheduler.Tree{DBH: 152, Height: 7000, MeasuredOn: today}, today)
	day := today.AddDays(2000)
	b.ReportAllocs()
	for b.Loop() {
		p.At(day)
	}
}
