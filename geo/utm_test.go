package geo

import (
	"math"
	"testing"
)

// The worked example of the Transverse Mercator method in EPSG guidance note
// 7-2: OSGB36 / British National Grid on the Airy 1830 ellipsoid.
func TestMercatorMatchesTheGuidanceNote(t *testing.T) {
	m := newMercator(6377563.396, 1/299.32496, 0.9996012717, 49, -2, 400000, -100000)
	got := m.forward(Point{0.5, 50.5})
	if math.Abs(got.X-577274.99) > 0.01 || math.Abs(got.Y-69740.50) > 0.01 {
		t.Errorf("forward = %.3f, %.3f; want 577274.99, 69740.50", got.X, got.Y)
	}
	back := m.inverse(Point{577274.99, 69740.50})
	if math.Abs(back.X-0.5) > 2e-7 || math.Abs(back.Y-50.5) > 2e-7 {
		t.Errorf("inverse = %.9f, %.9f; want 0.5, 50.5", back.X, back.Y)
	}
}

func TestUTMKnownPositions(t *testing.T) {
	dms := func(d, m, s float64) float64 { return d + m/60 + s/3600 }
	for _, c := range []struct {
		name    string
		srid    int
		lonLat  Point
		east    float64
		north   float64
		closeTo float64
	}{
		{"on the equator at the central meridian", 32616, Point{-87, 0}, 500000, 0, 1e-6},
		{"southern false northing", 32716, Point{-87, 0}, 500000, 10000000, 1e-6},
		// From memory: the position often quoted for a tower in Toronto.
		{"Toronto waterfront", 32617, Point{-dms(79, 23, 13.7), dms(43, 38, 33.24)}, 630084, 4833438, 1},
		// The meridian quadrant of WGS 84 is 10,001,965.7293 m (from memory), times 0.9996.
		{"north pole", 32631, Point{3, 90}, 500000, 10001965.7293 * 0.9996, 1e-3},
	} {
		u, err := NewUTM(c.srid)
		if err != nil {
			t.Fatal(err)
		}
		got := u.Forward(c.lonLat)
		if math.Abs(got.X-c.east) > c.closeTo || math.Abs(got.Y-c.north) > c.closeTo {
			t.Errorf("%s: %.4f, %.4f; want %.4f, %.4f", c.name, got.X, got.Y, c.east, c.north)
		}
	}
}

// The scale along the parallel must fit the projection's own theory: on the
// central meridian a small step north measures 0.9996 of the ellipsoid's arc.
func TestUTMScaleOnTheCentralMeridian(t *testing.T) {
	u, _ := NewUTM(32616)
	for lat := -80.0; lat <= 80; lat += 7.5 {
		a, b := u.Forward(Point{-87, lat - 1e-4}), u.Forward(Point{-87, lat + 1e-4})
		s := math.Sin(lat * math.Pi / 180)
		e2 := wgs84Flattening * (2 - wgs84Flattening)
		radius := wgs84Axis * (1 - e2) / math.Pow(1-e2*s*s, 1.5)
		want := utmScale * radius * 2e-4 * math.Pi / 180
		if math.Abs(a.Distance(b)-want) > 1e-6 {
			t.Errorf("lat %v: step of %.7f m, want %.7f m", lat, a.Distance(b), want)
		}
	}
}

func TestUTMRoundTrip(t *testing.T) {
	for zone := 1; zone <= 60; zone++ {
		for _, srid := range []int{32600 + zone, 32700 + zone} {
			u, err := NewUTM(srid)
			if err != nil {
				t.Fatal(err)
			}
			for lat := -79.5; lat <= 84; lat += 10.9 {
				for dlon := -4.5; dlon <= 4.5; dlon += 1.1 {
					in := u.Forward(Point{float64(6*zone-183) + dlon, lat})
					again := u.Forward(u.Inverse(in))
					if in.Distance(again) > 1e-6 {
						t.Fatalf("EPSG:%d lat %v dlon %v: off by %g m", srid, lat, dlon, in.Distance(again))
					}
				}
			}
		}
	}
}

func TestUTMZone(t *testing.T) {
	for _, c := range []struct {
		p    Point
		want int
	}{{Point{-85.2, 40.1}, 32616}, {Point{-75.5, 39.7}, 32618}, {Point{151.2, -33.9}, 32756}, {Point{180, 10}, 32660}, {Point{-180, 10}, 32601}} {
		if got := UTMZone(c.p); got != c.want {
			t.Errorf("UTMZone(%v) = %d, want %d", c.p, got, c.want)
		}
	}
	for _, bad := range []int{0, 4326, 32600, 32661, 32700, 32761} {
		if _, err := NewUTM(bad); err == nil {
			t.Errorf("NewUTM(%d) accepted", bad)
		}
	}
}

func FuzzUTMRoundTrip(f *testing.F) {
	f.Add(-85.2, 40.1)
	f.Add(151.2, -33.9)
	f.Add(3.0, 0.0)
	f.Fuzz(func(t *testing.T, lon, lat float64) {
		if !(lon >= -180 && lon <= 180 && lat >= -84 && lat <= 84) {
			return
		}
		u, err := NewUTM(UTMZone(Point{lon, lat}))
		if err != nil {
			t.Fatal(err)
		}
		m := u.Forward(Point{lon, lat})
		if again := u.Forward(u.Inverse(m)); m.Distance(again) > 1e-6 {
			t.Errorf("%v, %v: off by %g m", lon, lat, m.Distance(again))
		}
	})
}
