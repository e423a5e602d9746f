package main

import (
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// withoutTrees is the handmade city before its trees come in.
func withoutTrees(t *testing.T) *program {
	t.Helper()
	p := newProgram(t, 2027, time.February, 2)
	for _, layer := range layerOrder() {
		if layer != "wires" && layer != "signs" && layer != "trees" && layer != "history" {
			p.load(layer, layerFile(t, byHand, layer))
		}
	}
	return p
}

func (p *program) hold(file string) jobs.ImportResult {
	p.t.Helper()
	var r jobs.ImportResult
	p.json(&r, "import", "trees", file, "--hold")
	if !r.Held || r.Batch == 0 || r.Read != r.Accepted+r.Rejected {
		p.t.Fatalf("held import: %+v", r)
	}
	return r
}

// TestAHeldImportIsAppliedLater: a held batch changes nothing, and once it is
// applied, here or by a worker, the city is what an import at once makes it.
func TestAHeldImportIsAppliedLater(t *testing.T) {
	file := layerFile(t, byHand, "trees")
	atOnce := withoutTrees(t)
	atOnce.load("trees", file)
	want := atOnce.dump("audit")

	here := withoutTrees(t)
	before := here.dump("audit", "batch")
	r := here.hold(file)
	number := strconv.FormatInt(r.Batch, 10)
	sameRows(t, "a held import", before, here.dump("audit", "batch"))
	if out := here.ok("import", "apply", number); !strings.Contains(out, "is applied: read 3, accepted 3") {
		t.Errorf("import apply: %s", out)
	}
	sameRows(t, "applied here", want, here.dump("audit"))
	if out := here.ok("import", "apply", number); !strings.Contains(out, "applied before") {
		t.Errorf("applied again: %s", out)
	}
	here.ok("import", "undo", number)
	if code, _, errOut := here.run("import", "apply", number); code != exitBadInput || !strings.Contains(errOut, "is undone") {
		t.Errorf("an undone batch: exit %d, %s", code, errOut)
	}

	worker := withoutTrees(t)
	r = worker.hold(file)
	var s scheduler.JobStatus
	worker.json(&s, "import", "apply", strconv.FormatInt(r.Batch, 10), "--queue")
	if s.Kind != "import_apply" || s.Finished() {
		t.Fatalf("queued: %+v", s)
	}
	d, err := db.Open(t.Context(), db.Config{URL: worker.url, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	serving := worker.serve()
	if s = worker.finished(d, s.ID); s.State != "completed" || !strings.Contains(string(s.Output), `"accepted": 3`) {
		t.Errorf("job %+v, output %s", s, s.Output)
	}
	worker.none("trees that a worker did not bring in", `SELECT ref FROM unnest('{PL-001,PL-002,PL-003}'::text[]) ref EXCEPT SELECT ref FROM tree`)
	serving.stop()
	<-serving.exit
}

// A batch whose check no longer holds is given up at once, and can be dropped.
func TestAHeldImportThatIsOutOfDateIsRefused(t *testing.T) {
	p := withoutTrees(t)
	held := p.hold(layerFile(t, byHand, "trees"))
	number := strconv.FormatInt(held.Batch, 10)
	p.load("trees", layerFile(t, byHand, "trees"), "--rejects", filepath.Join(t.TempDir(), "rejects.csv"))
	if code, _, errOut := p.run("import", "apply", number); code != exitBadInput || !strings.Contains(errOut, "another import was applied") {
		t.Errorf("exit %d, %s", code, errOut)
	}
	var s scheduler.JobStatus
	p.json(&s, "import", "apply", number, "--queue")
	d, err := db.Open(t.Context(), db.Config{URL: p.url, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	serving := p.serve()
	if s = p.finished(d, s.ID); s.State != "cancelled" || s.Attempt != 1 || !strings.Contains(s.Error, "another import was applied") {
		t.Errorf("job %+v", s)
	}
	serving.stop()
	<-serving.exit
	p.ok("import", "drop", number)
	if code, _, errOut := p.run("import", "apply", number); code != exitBadInput || !strings.Contains(errOut, "there is no batch") {
		t.Errorf("a dropped batch: exit %d, %s", code, errOut)
	}
	if code, _, _ := p.run("import", "trees", layerFile(t, byHand, "trees"), "--hold", "--dry-run"); code != exitBadUsage {
		t.Errorf("--hold with --dry-run: exit %d", code)
	}
}
