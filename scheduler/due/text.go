package due

import (
	"strconv"

	"limbround/geo"
	"limbround/scheduler"
)

// phrase is a piece of text under construction: a fixed string, or a stretch
// of the draft's buffer. All stretches become strings with one allocation.
type phrase struct {
	fixed  string
	lo, hi int32
}

func fixed(s string) phrase { return phrase{fixed: s} }

// in gives the phrase's text out of the finished buffer.
func (p phrase) in(all string) string {
	if p.hi > p.lo {
		return all[p.lo:p.hi]
	}
	return p.fixed
}

// sentence is a phrase being appended, part by part. Methods by type keep
// formatting off the heap.
type sentence struct {
	d  *draft
	lo int32
}

// say starts a sentence.
func (d *draft) say(s string) sentence {
	lo := int32(len(d.buf))
	d.buf = append(d.buf, s...)
	return sentence{d: d, lo: lo}
}

func (s sentence) str(v string) sentence {
	s.d.buf = append(s.d.buf, v...)
	return s
}

func (s sentence) num(v int) sentence {
	s.d.buf = appendInt(s.d.buf, v)
	return s
}

// seasons adds a number of growing seasons.
func (s sentence) seasons(n int) sentence {
	s = s.num(n).str(" growing season")
	if n != 1 {
		s = s.str("s")
	}
	return s
}

// years adds a number of years.
func (s sentence) years(n int) sentence {
	s = s.num(n).str(" year")
	if n != 1 {
		s = s.str("s")
	}
	return s
}

func (s sentence) day(v scheduler.Date) sentence {
	s.d.buf = appendDay(s.d.buf, v)
	return s
}

func (s sentence) monthDay(v scheduler.MonthDay) sentence {
	s.d.buf = appendInt(s.d.buf, v.Day)
	s.d.buf = append(s.d.buf, ' ')
	s.d.buf = append(s.d.buf, months[v.Month*3-3:v.Month*3]...)
	return s
}

func (s sentence) height(v geo.Length) sentence {
	s.d.buf = appendHeight(s.d.buf, v)
	return s
}

// far adds a distance along a street, in whole metres and feet.
func (s sentence) far(v geo.Length) sentence {
	return s.num(int(v+500) / 1000).str(" m (").num(int(v.Feet() + 0.5)).str(" ft)")
}

func (s sentence) width(v geo.Length) sentence {
	s.d.buf = appendWidth(s.d.buf, v)
	return s
}

// season adds the name of a dormant season.
func (s sentence) season(year int) sentence {
	c := &s.d.e.cal
	f, t := c.dormantIn(year)
	b, name, made := c.name(s.d.buf, f, t)
	if !made {
		b = append(b, name...)
	}
	s.d.buf = b
	return s
}

// growing adds the name of a growing season: 2028, or 2028/29 where it crosses New Year.
func (s sentence) growing(year int) sentence {
	s = s.num(year)
	if c := &s.d.e.cal; wraps(c.leaf.From, c.leaf.To) {
		y := (year + 1) % 100
		s.d.buf = append(s.d.buf, '/', byte('0'+y/10), byte('0'+y%10))
	}
	return s
}

func (s sentence) end() phrase { return phrase{lo: s.lo, hi: int32(len(s.d.buf))} }

func appendInt(b []byte, v int) []byte { return strconv.AppendInt(b, int64(v), 10) }

const months = "JanFebMarAprMayJunJulAugSepOctNovDec"

// appendMonthDay writes "1 Nov".
func appendMonthDay(b []byte, d scheduler.Date) []byte {
	_, m, day := civil(d)
	b = appendInt(b, day)
	b = append(b, ' ')
	return append(b, months[m*3-3:m*3]...)
}

// appendDay writes "1 Nov 2028".
func appendDay(b []byte, d scheduler.Date) []byte {
	b = appendMonthDay(b, d)
	b = append(b, ' ')
	y, _, _ := civil(d)
	return appendInt(b, y)
}

// appendHeight writes metres and feet: "2.44 m (8.0 ft)".
func appendHeight(b []byte, l geo.Length) []byte {
	if !l.Known() {
		return append(b, "not recorded"...)
	}
	b = appendHundredths(b, (int(l)+5)/10)
	b = append(b, " m ("...)
	b = appendTenths(b, int(l.Feet()*10+0.5))
	return append(b, " ft)"...)
}

// appendWidth writes millimetres and inches: "56 mm (2.2 in)".
func appendWidth(b []byte, l geo.Length) []byte {
	if !l.Known() {
		return append(b, "not recorded"...)
	}
	b = appendInt(b, int(l))
	b = append(b, " mm ("...)
	b = appendTenths(b, int(l.Inches()*10+0.5))
	return append(b, " in)"...)
}

func appendHundredths(b []byte, v int) []byte {
	b = appendInt(b, v/100)
	return append(b, '.', byte('0'+v/10%10), byte('0'+v%10))
}

func appendTenths(b []byte, v int) []byte {
	b = appendInt(b, v/10)
	return append(b, '.', byte('0'+v%10))
}
