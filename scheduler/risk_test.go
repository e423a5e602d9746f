package scheduler

import (
	"errors"
	"strings"
	"testing"
)

// Matrix 1 of the ISA Best Management Practices, Tree Risk Assessment, as
// reprinted in an urban street tree management plan (fliphtml5.com/orxd/fjoo,
// page 64).
const matrix1 = `
              very low   low              medium           high
imminent      unlikely   somewhat likely  likely           very likely
probable      unlikely   unlikely         somewhat likely  likely
possible      unlikely   unlikely         unlikely         somewhat likely
improbable    unlikely   unlikely         unlikely         unlikely`

// Matrix 2 of the same; the places of the cells are from memory.
const matrix2 = `
                 negligible  minor     significant  severe
very likely      low         moderate  high         extreme
likely           low         moderate  high         high
somewhat likely  low         low       moderate     moderate
unlikely         low         low       low          low`

// cellsOf reads a printed matrix: cells are parted by two spaces or more.
func cellsOf(text string) (head []string, rows [][]string) {
	for i, line := range strings.Split(strings.TrimPrefix(text, "\n"), "\n") {
		var cells []string
		for _, c := range strings.Split(line, "  ") {
			if c = strings.TrimSpace(c); c != "" {
				cells = append(cells, c)
			}
		}
		if i == 0 {
			head = cells
		} else {
			rows = append(rows, cells)
		}
	}
	return head, rows
}

func rated(t *testing.T, failure, impact, consequence string) RiskAnswer {
	t.Helper()
	a, err := Risk(failure, impact, consequence, 3)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestRiskMatricesCellByCell(t *testing.T) {
	head, rows := cellsOf(matrix1)
	cells := 0
	ways := map[string][2]string{} // a failure and an impact for each likelihood
	for _, row := range rows {
		for i, want := range row[1:] {
			cells++
			ways[want] = [2]string{row[0], head[i]}
			if got := rated(t, row[0], head[i], "minor").Likelihood; got != want {
				t.Errorf("%s, %s: %s, want %s", row[0], head[i], got, want)
			}
		}
	}
	head, rows = cellsOf(matrix2)
	count := map[string]int{}
	for _, row := range rows {
		for i, want := range row[1:] {
			cells++
			a := rated(t, ways[row[0]][0], ways[row[0]][1], head[i])
			count[a.Rating]++
			if a.Rating != want || a.Likelihood != row[0] {
				t.Errorf("%s, %s: %s %s, want %s", row[0], head[i], a.Likelihood, a.Rating, want)
			}
			if class := map[string]int{"high": 1, "extreme": 1}[want]; class == 1 && a.Class != 1 || class == 0 && a.Class != 4 {
				t.Errorf("%s opens class %d", want, a.Class)
			}
		}
	}
	if cells != 32 || count["low"] != 8 || count["moderate"] != 4 || count["high"] != 3 || count["extreme"] != 1 { // the count as read
		t.Errorf("%d cells, %v", cells, count)
	}
}

// The worked examples follow from the two matrices as printed.
func TestRiskWorkedExamples(t *testing.T) {
	for _, tc := range [][5]string{
		{"Probable", "High", "Severe", "likely", "high"},
		{"Imminent", "High", "Severe", "very likely", "extreme"},
		{"Possible", "Medium", "Severe", "unlikely", "low"},
	} {
		if a := rated(t, tc[0], tc[1], tc[2]); a.Likelihood != tc[3] || a.Rating != tc[4] {
			t.Errorf("%v: %s, %s", tc, a.Likelihood, a.Rating)
		}
	}
}

func TestRiskNeedsItsWordsAndItsTimeFrame(t *testing.T) {
	if a := rated(t, "probable", "very-low", "severe"); a.Impact != "very low" || len(a.Limits) != 4 || !strings.Contains(a.Limits[1], "3 years") {
		t.Errorf("%+v", a)
	}
	for _, tc := range []struct {
		failure, impact, consequence string
		years                        int
		field                        string
	}{
		{"certain", "high", "severe", 3, "failure"},
		{"probable", "", "severe", 3, "impact"},
		{"probable", "high", "fatal", 3, "consequence"},
		{"probable", "high", "severe", 0, "years"},
		{"probable", "high", "severe", 11, "years"},
	} {
		_, err := Risk(tc.failure, tc.impact, tc.consequence, tc.years)
		var e *Error
		if !errors.As(err, &e) || e.Kind != Invalid || len(e.Fields) != 1 || e.Fields[0].Field != tc.field {
			t.Errorf("%+v: %v", tc, err)
		}
	}
}
