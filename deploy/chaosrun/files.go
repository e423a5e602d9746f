package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// files are the city's import files and their changed versions.
type files struct {
	dir   string
	seed  uint64
	today time.Time
}

// parts is how many lots of trees come after the first import.
const parts = 6

// split keeps some of the trees back for later rounds.
func (f *files) split() error {
	all, err := readCSV(filepath.Join(f.dir, "trees.csv"))
	if err != nil {
		return err
	}
	ref := slices.Index(all[0], "ref")
	lots := make([][][]string, 1+parts)
	for i := range lots {
		lots[i] = [][]string{all[0]}
	}
	for _, row := range all[1:] {
		lot := 0
		if chance(f.seed, 10, "keep back", row[ref]) == 0 {
			lot = 1 + chance(f.seed, parts, "lot", row[ref])
		}
		lots[lot] = append(lots[lot], row)
	}
	for i, rows := range lots {
		if err := writeCSV(filepath.Join(f.dir, fmt.Sprintf("trees-lot-%d.csv", i)), rows); err != nil {
			return err
		}
	}
	return nil
}

// first is the file of a layer's first import.
func (f *files) first(layer string) string {
	if layer == "trees" {
		return filepath.Join(f.dir, "trees-lot-0.csv")
	}
	for _, ext := range []string{".csv", ".geojson"} {
		if name := filepath.Join(f.dir, layer+ext); exists(name) {
			return name
		}
	}
	return filepath.Join(f.dir, layer)
}

func exists(name string) bool {
	_, err := os.Stat(name)
	return err == nil
}

// part is the lot of new trees of a round, empty when all are in.
func (f *files) part(round int) string {
	if round > parts {
		return ""
	}
	return filepath.Join(f.dir, fmt.Sprintf("trees-lot-%d.csv", round))
}

// changedTrees is a file in which one tree in twelve has grown.
func (f *files) changedTrees(round int) (string, error) {
	rows, err := readCSV(f.first("trees"))
	if err != nil {
		return "", err
	}
	ref, dbh, on := slices.Index(rows[0], "ref"), slices.Index(rows[0], "dbh_cm"), slices.Index(rows[0], "measured_on")
	out := [][]string{rows[0]}
	for _, row := range rows[1:] {
		cm, err := strconv.ParseFloat(row[dbh], 64)
		if err != nil || chance(f.seed, 12, "grows", round, row[ref]) != 0 {
			continue
		}
		row[dbh] = strconv.FormatFloat(cm+0.3*float64(round), 'f', 1, 64)
		row[on] = f.today.AddDate(0, 0, min(0, round-40)).Format(time.DateOnly)
		out = append(out, row)
	}
	name := filepath.Join(f.dir, fmt.Sprintf("trees-changed-%d.csv", round))
	return name, writeCSV(name, out)
}

// changedGround is a file of the layer in which some rows differ.
func (f *files) changedGround(layer string, round int) (string, error) {
	text, err := os.ReadFile(f.first(layer))
	if err != nil {
		return "", err
	}
	name := filepath.Join(f.dir, fmt.Sprintf("%s-changed-%d%s", layer, round, filepath.Ext(f.first(layer))))
	if layer == "crews" {
		return name, os.WriteFile(name, []byte(strings.Replace(string(text), ",480,", ",510,", 1)), 0o644)
	}
	var doc struct {
		Type     string           `json:"type"`
		Features []map[string]any `json:"features"`
	}
	if err := json.Unmarshal(text, &doc); err != nil {
		return "", err
	}
	field := map[string]string{"streets": "width_m", "signs": "height_m"}[layer]
	for i := range doc.Features {
		p, ok := doc.Features[i]["properties"].(map[string]any)
		if v, is := p[field].(float64); ok && is && chance(f.seed, 5, "changes", round, p["ref"]) == 0 {
			p[field] = v + 0.1*float64(1+round%5)
		}
	}
	if text, err = json.Marshal(doc); err != nil {
		return "", err
	}
	return name, os.WriteFile(name, text, 0o644)
}

func readCSV(name string) ([][]string, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return csv.NewReader(f).ReadAll()
}

func writeCSV(name string, rows [][]string) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	if err := csv.NewWriter(f).WriteAll(rows); err != nil {
		return err
	}
	return f.Close()
}
