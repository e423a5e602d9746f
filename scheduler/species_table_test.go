package scheduler

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
)

func TestSpeciesTable(t *testing.T) {
	table, err := SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	byCode := map[string]Species{}
	for i, s := range table {
		if i > 0 && table[i-1].Code >= s.Code {
			t.Errorf("%s after %s: not in the order of codes", s.Code, table[i-1].Code)
		}
		byCode[s.Code] = s
	}
	// Hauer, Hruska & Dawson 1994, high and low ends of the printed list.
	for code, want := range map[string]Rating{
		"ULPU": RatingHigh, "ULAM": RatingHigh, "GLTR": RatingHigh, "CEOC": RatingHigh, "PYCA": RatingHigh, "TIAM": RatingHigh, "ACSA1": RatingHigh,
		"QUPA": RatingHigh, "FRPE": RatingHigh, "FRAM": RatingMedium, "ACRU": RatingMedium, "QURU": RatingMedium, "LITU": RatingMedium,
		"PLOC": RatingMedium, "PIST": RatingMedium, "QUMA": RatingMedium, "ACSA2": RatingMedium, "THOC": RatingLow, "TADI": RatingLow,
		"ACPL": RatingLow, "CASP": RatingLow, "GIBI": RatingLow, "MALUS": RatingLow, "TICO": RatingLow, "ACGI": RatingLow,
		"ZESE": "",
	} {
		if got := byCode[code].Ice; got != want {
			t.Errorf("%s ice rating %q, want %q", code, got, want)
		}
	}
	want := Species{
		Code: "PYCA", Scientific: "Pyrus calleryana", Common: "callery pear",
		Synonyms: []string{"Pyrus calleryana 'Bradford'", "Pyrus calleryana cvs."},
		Habit:    Decurrent, Decay: DecayAverage, Ice: RatingHigh, WetSnow: RatingHigh, LeafSnow: RatingHigh,
		Droop: 200, MatureHeight: 13000 * geo.Millimetre, Growth: "fast", Sprouts: true, ClosedGroup: "fire_blight",
	}
	if diff := cmp.Diff(want, byCode["PYCA"]); diff != "" {
		t.Errorf("callery pear (-want +got):\n%s", diff)
	}
	for code, group := range map[string]string{"QUPA": "oak", "QUVI": "oak", "ULAM": "elm", "MALUS": "fire_blight", "GLTR": "honeylocust", "ACRU": ""} {
		if got := byCode[code].ClosedGroup; got != group {
			t.Errorf("%s closed group %q, want %q", code, got, group)
		}
	}
}

func TestParseSpeciesReportsEveryFault(t *testing.T) {
	head := "# note\n" + strings.Join(speciesColumns, ",") + "\n"
	_, err := ParseSpecies([]byte(head +
		"AA,Alpha alba,alpha,,decurrent,strong,low,memory,,,100,9000,memory,fast,no,,none,0.39\n" +
		"AA,Beta alba,beta,,sideways,strong,low,,,,-5,9000,memory,quick,maybe,,,NaN\n" +
		"CC,alpha Alba,,,small,weak,,,,,0,100,memory,slow,yes,,oak,0.95\n"))
	var e *Error
	if !errors.As(err, &e) || e.Kind != Invalid {
		t.Fatalf("error %v, want kind invalid", err)
	}
	var got []string
	for _, f := range e.Fields {
		got = append(got, f.String())
	}
	want := []string{
		`line 4: habit "sideways": want one of: excurrent, decurrent, conifer, columnar, weeping, multi_stem, palm, pollard, small`,
		`line 4: droop_mm "-5": want whole millimetres from 0 to 3000`,
		`line 4: growth "quick": want one of: slow, moderate, fast`,
		`line 4: closed_group "": is required`,
		`line 4: basal_sprouts "maybe": want one of: yes, no`,
		`line 4: small_ratio "NaN": want a ratio from 0.2 to 0.9, or nothing`,
		`line 4: ice_source "": a rating and its source stand together`,
		`line 4: code "AA": repeats the key "AA" of AA`,
		`line 5: common "": is required`,
		`line 5: mature_height_mm "100": want whole millimetres from 1000 to 60000`,
		`line 5: small_ratio "0.95": want a ratio from 0.2 to 0.9, or nothing`,
		`line 5: code "CC": repeats the key "alpha alba" of AA`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("faults (-want +got):\n%s", diff)
	}
}

// Whatever the file holds, the answer is a table of unlike codes or faults
// with rules, the same ones every time.
func FuzzParseSpecies(f *testing.F) {
	head := strings.Join(speciesColumns, ",") + "\n"
	f.Add(speciesCSV[:min(len(speciesCSV), 4000)])
	f.Add([]byte(head + "AA,Alpha alba,alpha,A. a.; Alpha,decurrent,strong,low,memory,,,100,9000,memory,fast,no,,none,0.5\n"))
	f.Add([]byte(head + "AA,,,,,,,,,,x,1e9,,,,,1e9\nAA,\"a\n\",\"\",,,,,,,,,,,,,,\n"))
	f.Add([]byte("# only a note\n"))
	f.Add([]byte("code,scientific\n\"AA"))
	f.Fuzz(func(t *testing.T, b []byte) {
		list, err := ParseSpecies(b)
		again, err2 := ParseSpecies(b)
		if diff := cmp.Diff(list, again); diff != "" || (err == nil) != (err2 == nil) {
			t.Fatalf("two readings differ: %v, %v\n%s", err, err2, diff)
		}
		var e *Error
		if err != nil && (!errors.As(err, &e) || e.Kind != Invalid) {
			t.Fatalf("error %v, want kind invalid", err)
		}
		if e != nil {
			for _, fault := range e.Fields {
				if fault.Rule == "" || fault.Line == 0 {
					t.Fatalf("fault without a rule or a line: %+v", fault)
				}
			}
		}
		for i := range list {
			if s := &list[i]; s.Code == "" || s.MatureHeight <= 0 || i > 0 && list[i-1].Code >= s.Code {
				t.Fatalf("line %d: %+v", i, s)
			}
		}
	})
}
