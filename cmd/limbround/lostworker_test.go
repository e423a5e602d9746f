package main

import (
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"limbround/db"
	"limbround/db/dbtest"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// TestTheJobOfAKilledWorkerIsDoneByAnother kills the worker process that has
// a due pass in hand. The test holds the table that the pass writes last, so the
// kill meets it when its visits are written and not yet committed. Another worker
// takes the job up, and the city is judged once.
func TestTheJobOfAKilledWorkerIsDoneByAnother(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 2)
	d, err := db.Open(t.Context(), db.Config{URL: p.url, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	release := dbtest.Hold(t, p.url, `LOCK TABLE due_run IN EXCLUSIVE MODE`)
	tomorrow := scheduler.DateOf(time.Now()) + 1 // the workers' own schedules ask for today
	args := jobs.DueArgs{AsOf: tomorrow, Actor: "tester"}
	id, err := d.Enqueue(t.Context(), args)
	if err != nil {
		t.Fatal(err)
	}
	workers := map[int]*process{}
	for range 2 {
		w := start(t, privateDir(t), "--database-url", p.url, "worker")
		w.says("Working off")
		workers[w.cmd.Process.Pid] = w
	}
	first := p.runner(d, id, "")
	p.inTheMiddle()
	killed := workers[pidOf(t, first)]
	if err := killed.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	<-killed.done
	second := p.runner(d, id, first)
	if workers[pidOf(t, second)] == killed || workers[pidOf(t, second)] == nil {
		t.Errorf("the job of %s was taken up by %s", first, second)
	}
	release()
	s := p.finished(d, id)
	if s.State != "completed" || s.Attempt != 2 || !strings.Contains(s.Error, first) {
		t.Errorf("job is %s after attempt %d, its error %q", s.State, s.Attempt, s.Error)
	}
	if n := p.number(`SELECT count(*) FROM due_run WHERE whole_city AND as_of = $1::text::date`, tomorrow.String()); n != 1 {
		t.Errorf("the pass was made %d times", n)
	}
	if n := p.number(`SELECT count(*) FROM visit`); n == 0 {
		t.Error("the pass made no visit")
	}
	for pid, w := range workers {
		if w == killed {
			continue
		}
		if err := w.cmd.Process.Signal(os.Interrupt); err != nil {
			t.Errorf("worker %d: %v", pid, err)
		}
		w.ends(exitOK)
	}
}

// TestACancelledPassLeavesNothing ends a due pass whose visits are written and
// not yet committed, from another process than the one that runs it.
func TestACancelledPassLeavesNothing(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 2)
	d, err := db.Open(t.Context(), db.Config{URL: p.url, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	release := dbtest.Hold(t, p.url, `LOCK TABLE due_run IN EXCLUSIVE MODE`)
	s := p.serve()
	p.inTheMiddle() // of the night's own pass, which the schedule has queued
	id := int64(p.number(`SELECT id FROM river_job WHERE kind = 'due'`))
	number := strconv.FormatInt(id, 10)
	if out := p.ok("jobs", "show", number); !strings.Contains(out, "due") || !strings.Contains(out, "running") {
		t.Errorf("jobs show: %s", out)
	}
	var list []scheduler.JobStatus
	if p.json(&list, "jobs", "list", "--state", "running"); len(list) != 1 || list[0].ID != id {
		t.Errorf("running jobs: %+v", list)
	}
	p.ok("jobs", "cancel", number)
	if s := p.finished(d, id); s.State != "cancelled" || s.Attempt != 1 {
		t.Errorf("job is %s after attempt %d", s.State, s.Attempt)
	}
	release()
	p.none("visits of a cancelled pass", `SELECT id::text FROM visit`)
	if code, _, errOut := p.run("jobs", "cancel", number); code != exitBadInput {
		t.Errorf("a second cancel: exit %d, %s", code, errOut)
	}
	if code, _, errOut := p.run("jobs", "show", "4711"); code != exitBadInput {
		t.Errorf("an unknown job: exit %d, %s", code, errOut)
	}
	s.stop()
	<-s.exit
}

// inTheMiddle waits until a pass stands before the table that the test holds.
func (p *program) inTheMiddle() {
	p.t.Helper()
	for begin := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		if p.number(`SELECT count(*) FROM pg_locks WHERE NOT granted AND relation = 'due_run'::regclass`) > 0 {
			return
		}
		if time.Since(begin) > time.Minute {
			p.t.Fatal("the pass does not come to its last table")
		}
	}
}

// runner waits until a worker other than not has the job in hand, and answers its name.
func (p *program) runner(d *db.DB, id int64, not string) string {
	p.t.Helper()
	return p.await(d, id, func(s *scheduler.JobStatus) bool { return s.State == "running" && s.Worker != not }).Worker
}

func (p *program) finished(d *db.DB, id int64) scheduler.JobStatus {
	p.t.Helper()
	return p.await(d, id, (*scheduler.JobStatus).Finished)
}

func (p *program) await(d *db.DB, id int64, ok func(*scheduler.JobStatus) bool) scheduler.JobStatus {
	p.t.Helper()
	for begin := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		s, err := d.JobStatus(p.t.Context(), id)
		if err != nil {
			p.t.Fatal(err)
		}
		if ok(&s) {
			return s
		}
		if s.Finished() || time.Since(begin) > time.Minute {
			p.t.Fatalf("job is %+v", s)
		}
	}
}

// pidOf reads the process out of a worker's name: host_pid_word.
func pidOf(t *testing.T, name string) int {
	t.Helper()
	part := strings.Split(name, "_")
	pid, err := strconv.Atoi(part[max(0, len(part)-2)])
	if err != nil {
		t.Fatalf("worker %q: %v", name, err)
	}
	return pid
}
