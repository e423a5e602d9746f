package route

import (
	"context"
	"testing"
)

// FuzzSolve reads a problem from bytes, sound or not: it is refused, or the plan
// passes the checker. Travel is arbitrary, so the triangle inequality need not
// hold.
func FuzzSolve(f *testing.F) {
	f.Add([]byte("\x03\x02\x01\x05one street, two crews and a dump at the far end"))
	f.Add([]byte("\x01\x01\x00\x01"))
	f.Add([]byte("\x05\x00\x02\x09nobody works today"))
	f.Add([]byte("\x06\x03\x02\x0f\xff\xff\xff\xff\x00\x00\x80\x80\x7f\x01\x10\x20\x40\xfe\xed\xfa\xce\x33\x21\x12\x99\x98\x97"))
	f.Fuzz(func(t *testing.T, b []byte) {
		next := func() int {
			if len(b) == 0 {
				return 0
			}
			v := int(b[0])
			b = b[1:]
			return v
		}
		p := Problem{Places: 1 + next()%6}
		vehicles, dumps, stops := next()%4, next()%3, next()%16
		m := Matrix{N: p.Places, Sec: make([]int32, p.Places*p.Places)}
		for range dumps {
			p.Dumps = append(p.Dumps, Dump{Place: next() % p.Places, Seconds: 10 * next()})
		}
		for v := range vehicles {
			p.Vehicles = append(p.Vehicles, Vehicle{
				Start: next() % p.Places, End: next() % p.Places, Open: next(), Productive: 64 * next(), Capacity: 16 * next(),
				Skills: uint32(next() % 4), Day: v, Fixed: next(),
			})
		}
		for range stops {
			group := next() % 8
			s := Stop{
				Place: group % p.Places, Group: group, Pos: next(), Service: 8 * next(), SetUp: next(), Demand: 8 * (next() % 128),
				Skills: uint32(next() % 4), Days: uint64(next() % 16), Dumps: uint64(next() % 8), Prize: int64(next()) << 8,
				Delay: int64(next()), Lock: next() % (vehicles + 2),
			}
			if next()%4 == 0 {
				s.Open, s.Close = 16*next(), 32*next()
			}
			p.Stops = append(p.Stops, s)
		}
		for i := range m.Sec {
			if m.Sec[i] = int32(8 * next()); m.Sec[i] > 2000 {
				m.Sec[i] = Unreachable
			}
		}
		p.Travel = []Travel{m}
		r, err := Solve(context.Background(), p, Limits{Seed: int64(next()), Iterations: 20})
		if p.Validate() != nil {
			if err == nil {
				t.Fatal("a broken problem was solved")
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(&p, &r); err != nil {
			t.Fatalf("plan breaks its problem: %v", err)
		}
	})
}
