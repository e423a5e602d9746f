package growth

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// form is the shape of a published equation.
type form uint8

const (
	lin form = iota
	quad
	cub
	quart
	loglogw1
	loglogw2
	loglogw3
	loglogw4
	expow1
	expow2
	expow3
	expow4
)

var formNames = []string{
	"lin", "quad", "cub", "quart", "loglogw1", "loglogw2", "loglogw3", "loglogw4", "expow1", "expow2", "expow3", "expow4",
}

// coefficients is how many a form has; in the loglog and expow forms the third
// is the mean squared error of the fit, used as it is printed.
func (f form) coefficients() int {
	if f <= quart {
		return 2 + int(f)
	}
	return 3
}

// equation is one published equation of one variable.
type equation struct {
	form form
	c    [5]float64
}

// at evaluates the equation as printed in McPherson, van Doorn & Peper 2016
// (PSW-GTR-253, Table 3 with the corrections of January 2020). In loglogw1 the
// bias correction stands inside the inner logarithm: statistics would put it
// outside, but the published ranges come back only with the printed form.
func (e *equation) at(x float64) float64 {
	c := &e.c
	switch e.form {
	case lin, quad, cub, quart:
		return c[0] + x*(c[1]+x*(c[2]+x*(c[3]+x*c[4])))
	case loglogw1:
		return math.Exp(c[0] + c[1]*math.Log(math.Log(x+1)+c[2]/2))
	case loglogw2, loglogw3, loglogw4:
		return math.Exp(c[0] + c[1]*math.Log(math.Log(x+1)) + e.weight(x)*c[2]/2)
	default:
		return math.Exp(c[0] + c[1]*x + e.weight(x)*c[2]/2)
	}
}

// weight is the factor of the mean squared error in the weighted forms.
func (e *equation) weight(x float64) float64 {
	switch e.form {
	case loglogw2, expow2:
		return math.Sqrt(x)
	case loglogw3, expow3:
		return x
	case loglogw4, expow4:
		return x * x
	default:
		return 1
	}
}

// parseCell reads "quad -3.6811 3.0548 -0.02326 : 2.34 96.61": the form, its
// coefficients, a colon and the published values at the two ends of the range.
func parseCell(s string) (e equation, ends [2]float64, err error) {
	words := strings.Fields(s)
	if len(words) == 0 {
		return e, ends, fmt.Errorf("the equation is missing")
	}
	i := slices.Index(formNames, words[0])
	if i < 0 {
		return e, ends, fmt.Errorf("form %q: want one of %s", words[0], strings.Join(formNames, ", "))
	}
	e.form = form(i)
	n := e.form.coefficients()
	if len(words) != n+4 || words[n+1] != ":" {
		return e, ends, fmt.Errorf("%s has %d coefficients, then a colon and two published values", words[0], n)
	}
	for k := range n {
		if e.c[k], err = number(words[k+1]); err != nil {
			return e, ends, err
		}
	}
	for k := range ends {
		if ends[k], err = number(words[n+2+k]); err != nil {
			return e, ends, err
		}
	}
	if ends[0] < 0 || ends[1] < ends[0] {
		return e, ends, fmt.Errorf("published values %g and %g: want two that rise from zero or more", ends[0], ends[1])
	}
	return e, ends, nil
}

func number(s string) (float64, error) {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(f) || math.Abs(f) > 1e6 {
		return 0, fmt.Errorf("%q: want a number", s)
	}
	return f, nil
}
