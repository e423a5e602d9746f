package geo

import (
	"fmt"
	"math"
)

// UTM converts between longitude, latitude (degrees, WGS 84) and metres in one
// zone of the Universal Transverse Mercator grid.
//
// The transverse Mercator projection is computed by the Krueger series in the
// third flattening n, carried to the sixth order: the geographic latitude goes
// to the conformal latitude, that with the longitude to the spherical
// transverse Mercator plane, and a trigonometric series of six terms takes the
// plane to the ellipsoid's (xi, eta). The inverse runs the same steps backwards;
// only the last one, conformal to geographic latitude, is a Newton iteration.
// Series and iteration: C. F. F. Karney, Transverse Mercator with an accuracy
// of a few nanometers, Journal of Geodesy 85 (2011). Within a zone the error is
// far below a micrometre; the series stays usable some 3,900 km from the
// central meridian and is meaningless beyond.
type UTM struct {
	srid int
	tm   mercator
}

// Ellipsoid of WGS 84 and the constants of the UTM grid.
const (
	wgs84Axis       = 6378137.0
	wgs84Flattening = 1 / 298.257223563
	utmScale        = 0.9996
	utmEast         = 500000.0
	utmSouth        = 10000000.0
)

// NewUTM returns the zone with the given EPSG code: 32601 to 32660 in the
// north, 32701 to 32760 in the south.
func NewUTM(srid int) (UTM, error) {
	zone, south := srid-32600, 0.0
	if srid > 32700 {
		zone, south = srid-32700, utmSouth
	}
	if zone < 1 || zone > 60 {
		return UTM{}, fmt.Errorf("choose grid zone: EPSG:%d is not a UTM zone on WGS 84 (32601-32660, 32701-32760)", srid)
	}
	return UTM{srid, newMercator(wgs84Axis, wgs84Flattening, utmScale, 0, float64(6*zone-183), utmEast, south)}, nil
}

// UTMZone returns the EPSG code of the zone that a position in degrees lies in.
// The widened zones off Norway and Svalbard are not treated apart.
func UTMZone(lonLat Point) int {
	zone := min(max(int(math.Floor((lonLat.X+180)/6))+1, 1), 60)
	if lonLat.Y < 0 {
		return 32700 + zone
	}
	return 32600 + zone
}

// SRID is the EPSG code of the zone.
func (u UTM) SRID() int { return u.srid }

// Forward takes longitude and latitude in degrees to metres east and north.
func (u UTM) Forward(lonLat Point) Point { return u.tm.forward(lonLat) }

// Inverse takes metres east and north to longitude and latitude in degrees.
func (u UTM) Inverse(p Point) Point { return u.tm.inverse(p) }

// mercator is a transverse Mercator projection of any ellipsoid.
type mercator struct {
	e, e2       float64    // first eccentricity and its square
	radius      float64    // scale times the rectifying radius
	lon0        float64    // central meridian, degrees
	east, north float64    // false easting, false northing less the arc to the origin's latitude
	alpha, beta [6]float64 // series of the forward and the inverse
}

func newMercator(axis, flat, scale, lat0, lon0, east, north float64) mercator {
	n := flat / (2 - flat)
	n2, n3 := n*n, n*n*n
	n4, n5, n6 := n3*n, n3*n2, n3*n3
	m := mercator{e2: flat * (2 - flat), lon0: lon0, east: east}
	m.e = math.Sqrt(m.e2)
	m.radius = scale * axis / (1 + n) * (1 + n2/4 + n4/64 + n6/256)
	m.alpha = [6]float64{
		n/2 - 2*n2/3 + 5*n3/16 + 41*n4/180 - 127*n5/288 + 7891*n6/37800,
		13*n2/48 - 3*n3/5 + 557*n4/1440 + 281*n5/630 - 1983433*n6/1935360,
		61*n3/240 - 103*n4/140 + 15061*n5/26880 + 167603*n6/181440,
		49561*n4/161280 - 179*n5/168 + 6601661*n6/7257600,
		34729*n5/80640 - 3418889*n6/1995840,
		212378941 * n6 / 319334400,
	}
	m.beta = [6]float64{
		n/2 - 2*n2/3 + 37*n3/96 - n4/360 - 81*n5/512 + 96199*n6/604800,
		n2/48 + n3/15 - 437*n4/1440 + 46*n5/105 - 1118711*n6/3870720,
		17*n3/480 - 37*n4/840 - 209*n5/4480 + 5569*n6/90720,
		4397*n4/161280 - 11*n5/504 - 830251*n6/7257600,
		4583*n5/161280 - 108847*n6/3991680,
		20648693 * n6 / 638668800,
	}
	m.north = north
	m.north -= m.forward(Point{lon0, lat0}).Y - north
	return m
}

func (m *mercator) forward(lonLat Point) Point {
	lat := lonLat.Y * math.Pi / 180
	lon := math.Remainder(lonLat.X-m.lon0, 360) * math.Pi / 180
	tau := m.conformal(math.Tan(lat))
	xi0 := math.Atan2(tau, math.Cos(lon))
	eta0 := math.Asinh(math.Sin(lon) / math.Hypot(tau, math.Cos(lon)))
	xi, eta := xi0, eta0
	for j, a := range m.alpha {
		k := 2 * float64(j+1)
		xi += a * math.Sin(k*xi0) * math.Cosh(k*eta0)
		eta += a * math.Cos(k*xi0) * math.Sinh(k*eta0)
	}
	return Point{m.east + m.radius*eta, m.north + m.radius*xi}
}

func (m *mercator) inverse(p Point) Point {
	xi := (p.Y - m.north) / m.radius
	eta := (p.X - m.east) / m.radius
	xi0, eta0 := xi, eta
	for j, b := range m.beta {
		k := 2 * float64(j+1)
		xi0 -= b * math.Sin(k*xi) * math.Cosh(k*eta)
		eta0 -= b * math.Cos(k*xi) * math.Sinh(k*eta)
	}
	tau := math.Sin(xi0) / math.Hypot(math.Sinh(eta0), math.Cos(xi0))
	lon := math.Atan2(math.Sinh(eta0), math.Cos(xi0))
	return Point{m.lon0 + lon*180/math.Pi, math.Atan(m.geographic(tau)) * 180 / math.Pi}
}

// conformal takes the tangent of the geographic latitude to that of the
// conformal latitude.
func (m *mercator) conformal(tau float64) float64 {
	h := math.Hypot(1, tau)
	sigma := math.Sinh(m.e * math.Atanh(m.e*tau/h))
	return tau*math.Hypot(1, sigma) - sigma*h
}

// geographic inverts conformal by Newton's method; three rounds reach the
// limit of the floating point for any latitude.
func (m *mercator) geographic(target float64) float64 {
	tau := target / (1 - m.e2)
	for range 5 {
		got := m.conformal(tau)
		step := (target - got) / math.Hypot(1, got) * (1 + (1-m.e2)*tau*tau) / ((1 - m.e2) * math.Hypot(1, tau))
		tau += step
		if math.Abs(step) < 1e-15*max(1, math.Abs(tau)) {
			break
		}
	}
	return tau
}
