package main

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"syscall"
	"time"
)

// steps are what is interrupted, in the order of a round.
var steps = []string{"import", "due", "plan", "packets", "record"}

// Who is killed.
const (
	killServer   = "server"
	killWorker   = "worker"
	killCommand  = "command"
	killPostgres = "postgres"
	killAll      = "all"
)

var victims = []string{killServer, killWorker, killCommand, killPostgres, killAll}

// killer decides who dies and when. It draws from a source of its own, so that
// the inputs are the same with and without it.
type killer struct {
	rand  *rand.Rand
	quota map[string]int            // kills that each step still takes
	used  map[string]map[string]int // by step and victim: the rarest is next
}

func newKiller(seed uint64, quota map[string]int) *killer {
	return &killer{rand: rand.New(rand.NewPCG(seed, 0x6b696c6c)), quota: quota, used: map[string]map[string]int{}}
}

func (k *killer) left() int {
	n := 0
	for _, step := range steps {
		n += k.quota[step]
	}
	return n
}

// wants says whether the action is to be killed now, after so many hits. What
// was hit is repeated, and the repetition may be killed again.
func (k *killer) wants(a *action, hits int) bool {
	if k.quota[a.step] <= 0 || hits >= 4 {
		return false
	}
	return k.rand.Float64() < a.odds
}

// draw picks a victim that takes part in the action, and a moment within its
// usual duration.
func (k *killer) draw(a *action, usual time.Duration) (victim string, after time.Duration) {
	may := []string{killServer, killPostgres, killAll}
	switch a.mode() {
	case "command":
		may = append(may, killCommand)
	case "job":
		may = append(may, killWorker)
	}
	k.rand.Shuffle(len(may), func(i, j int) { may[i], may[j] = may[j], may[i] })
	if k.used[a.step] == nil {
		k.used[a.step] = map[string]int{}
	}
	victim = slices.MinFunc(may, func(x, y string) int { return k.used[a.step][x] - k.used[a.step][y] })
	return victim, time.Duration(k.rand.Float64() * float64(usual))
}

// hit takes a kill that interrupted its action off the quota.
func (k *killer) hit(step, victim string) {
	k.quota[step]--
	k.used[step][victim]++
}

// strike kills a part of the house, or all of it.
func (h *house) strike(victim string) {
	postmaster, command := h.postmaster(), h.atWork()
	if victim == killCommand || victim == killAll {
		command.kill()
	}
	if victim == killWorker || victim == killAll {
		h.worker.kill()
	}
	if victim == killServer || victim == killAll {
		h.server.kill()
	}
	if (victim == killPostgres || victim == killAll) && postmaster > 0 {
		_ = syscall.Kill(postmaster, syscall.SIGKILL)
	}
}

// settle waits for the processes that must end because what they stand on was
// killed, and answers what is wrong with their ends. A process that loses its
// database ends with exit code 5; a command may also have been done, or refused.
func (h *house) settle(victim string) (wrong []string) {
	look := func(p *process, killed bool, codes ...int) {
		if p == nil {
			return
		}
		if !p.endsIn(endWait) {
			wrong = append(wrong, fmt.Sprintf("the %s still runs %s after its database was lost", p.name, endWait))
			p.kill()
			<-p.done
			return
		}
		if !killed && !slices.Contains(codes, p.exit()) {
			wrong = append(wrong, fmt.Sprintf("the %s ended with exit code %d: %s", p.name, p.exit(), p.err.String()))
		}
	}
	h.mu.Lock()
	command := h.command
	h.mu.Unlock()
	switch victim {
	case killWorker:
		look(h.worker, true)
	case killServer, killPostgres, killAll:
		look(h.server, victim != killPostgres, 5)
		look(h.worker, victim == killAll, 5)
	}
	if victim != killWorker {
		look(command, victim == killCommand || victim == killAll, 0, 3, 5)
	}
	return wrong
}
