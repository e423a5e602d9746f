package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"
)

// house is one installation: a private cluster that the server owns, the
// server, and a worker beside it.
type house struct {
	bin, dir string
	addr     string
	token    string
	psql     string
	log      *os.File
	server   *process
	worker   *process

	mu      sync.Mutex
	command *process // at work now
}

const (
	startWait = 90 * time.Second // crash recovery included
	endWait   = 40 * time.Second // for processes whose database is gone
)

// openHouse makes an installation with its settings and a token.
func openHouse(ctx context.Context, bin, dir, zone string) (*house, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	h := &house{bin: bin, dir: dir}
	var err error
	if h.psql, err = findPsql(); err != nil {
		return nil, err
	}
	if h.log, err = os.OpenFile(filepath.Join(dir, "processes.log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644); err != nil {
		return nil, err
	}
	if h.addr, err = freePort(ctx); err != nil {
		return nil, err
	}
	if err := h.up(ctx); err != nil {
		h.close()
		return nil, err
	}
	if _, err := h.run("settings", "--name", "Chaos", "--time-zone", zone); err != nil {
		return nil, err
	}
	out, err := h.run("token", "add", "chaos", "--json")
	if err != nil {
		return nil, err
	}
	var t struct{ Token string }
	if err := json.Unmarshal(out, &t); err != nil {
		return nil, err
	}
	h.token = t.Token
	// The nightly run, late today, is over before the story begins: visits get
	// their numbers in the same order everywhere, and numbers break ties in a plan.
	return h, h.drain()
}

func findPsql() (string, error) {
	if p, err := exec.LookPath("psql"); err == nil {
		return p, nil
	}
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/psql")
	if err != nil || len(found) == 0 {
		return "", errors.New("psql is not installed")
	}
	return found[len(found)-1], nil
}

func freePort(ctx context.Context) (string, error) {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return "", err
	}
	return l.Addr().String(), l.Close()
}

func (h *house) data() string { return filepath.Join(h.dir, "data") }

func (h *house) env() []string {
	var env []string
	for _, e := range os.Environ() {
		if !strings.HasPrefix(e, "DATABASE_") && !strings.HasPrefix(e, "LIMBROUND_") {
			env = append(env, e)
		}
	}
	return append(env, "LIMBROUND_DATA="+h.data(), "LIMBROUND_ACTOR=chaos", "LIMBROUND_LOG=info")
}

// up starts what does not run, the server first: it owns the database.
func (h *house) up(ctx context.Context) error {
	var err error
	if !h.server.running() {
		if h.server, err = start("server", h.bin, []string{"serve", "--no-worker", "--addr", h.addr}, h.env(), nil, h.log); err != nil {
			return err
		}
	}
	if err := h.awaitReady(ctx); err != nil {
		return err
	}
	if !h.worker.running() {
		h.worker, err = start("worker", h.bin, []string{"worker"}, h.env(), nil, h.log)
	}
	return err
}

func (h *house) awaitReady(ctx context.Context) error {
	for began := time.Now(); ; time.Sleep(30 * time.Millisecond) {
		if status, _, err := h.call(ctx, http.MethodGet, "/readyz", nil); err == nil && status == http.StatusOK {
			return nil
		}
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case !h.server.running():
			return fmt.Errorf("the server ended with exit code %d instead of starting; see %s", h.server.exit(), h.log.Name())
		case time.Since(began) > startWait:
			return fmt.Errorf("the server is not ready after %s; see %s", startWait, h.log.Name())
		}
	}
}

// run runs a command to its end and answers its output.
func (h *house) run(args ...string) ([]byte, error) {
	p, err := start(args[0], h.bin, args, h.env(), nil, nil)
	if err != nil {
		return nil, err
	}
	h.mu.Lock()
	h.command = p
	h.mu.Unlock()
	<-p.done
	return p.out.Bytes(), p.failure()
}

// atWork is the command that runs now, nil for none.
func (h *house) atWork() *process {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.command.running() {
		return nil
	}
	return h.command
}

// call sends one request to the server.
func (h *house) call(ctx context.Context, method, path string, body any) (status int, answer []byte, err error) {
	ctx, cancel := context.WithTimeout(ctx, 30*time.Second)
	defer cancel()
	text, err := json.Marshal(body)
	if err != nil {
		return 0, nil, err
	}
	if body == nil {
		text = nil
	}
	req, err := http.NewRequestWithContext(ctx, method, "http://"+h.addr+path, bytes.NewReader(text))
	if err != nil {
		return 0, nil, err
	}
	req.Header.Set("Authorization", "Bearer "+h.token)
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return 0, nil, err
	}
	defer res.Body.Close()
	var b bytes.Buffer
	_, err = b.ReadFrom(res.Body)
	return res.StatusCode, b.Bytes(), err
}

// sql runs SQL through psql and answers its rows; columns are parted by tabs.
func (h *house) sql(args ...string) ([][]string, error) {
	full := append([]string{"-X", "-q", "-A", "-t", "-F", "\t", "-v", "ON_ERROR_STOP=1", "-h", filepath.Join(h.data(), "socket"), "-U", "limbround", "-d", "limbround"}, args...)
	cmd := exec.CommandContext(context.Background(), h.psql, full...)
	var out, errOut bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errOut
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("psql: %w: %s", err, errOut.String())
	}
	var rows [][]string
	for line := range strings.Lines(out.String()) {
		rows = append(rows, strings.Split(strings.TrimSuffix(line, "\n"), "\t"))
	}
	return rows, nil
}

// postmaster is the process of the private database server, 0 for none.
func (h *house) postmaster() int {
	var owner struct{ Server int }
	b, err := os.ReadFile(filepath.Join(h.data(), "owner.json"))
	if err != nil || json.Unmarshal(b, &owner) != nil {
		return 0
	}
	return owner.Server
}

// close stops the worker, then the server, which stops the database.
func (h *house) close() {
	for _, p := range []*process{h.atWork(), h.worker, h.server} {
		if p.running() {
			_ = p.cmd.Process.Signal(syscall.SIGTERM)
			if !p.endsIn(endWait) {
				p.kill()
			}
		}
	}
	_ = h.log.Close()
}
