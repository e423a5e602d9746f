//go:build linux

package db

import (
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"

	"limbround/scheduler"
)

// sysUser is the system user that runs the server.
type sysUser struct {
	name     string
	self     string // name of the user of this process, who connects
	uid, gid uint32
	drop     bool // this process is root and must give the server another user
}

// serverUser is this process's own user, or, because PostgreSQL refuses to
// run as root, the named user (default "postgres") when that is root.
func serverUser(name string) (sysUser, error) {
	me, err := user.Current()
	if err != nil {
		return sysUser{}, fmt.Errorf("look up own user: %w", err)
	}
	pick := me
	if os.Geteuid() == 0 {
		if name == "" {
			name = "postgres"
		}
		if pick, err = user.Lookup(name); err != nil || pick.Uid == "0" {
			return sysUser{}, &scheduler.Error{
				Kind: scheduler.Unavailable, Message: "PostgreSQL cannot run as root, and there is no other user " + strconv.Quote(name),
				Hint: "run limbround as an ordinary user, or name an existing one", Err: err,
			}
		}
	}
	uid, err1 := strconv.ParseUint(pick.Uid, 10, 32)
	gid, err2 := strconv.ParseUint(pick.Gid, 10, 32)
	if err1 != nil || err2 != nil {
		return sysUser{}, fmt.Errorf("read user %s: uid %q gid %q", pick.Username, pick.Uid, pick.Gid)
	}
	return sysUser{pick.Username, me.Username, uint32(uid), uint32(gid), os.Geteuid() == 0}, nil
}

// attr starts a child as the server's user, in a process group of its own (a
// Ctrl-C must reach us first) and told to end when the thread that started it ends.
func (u sysUser) attr() *syscall.SysProcAttr {
	a := &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGINT}
	if u.drop {
		a.Credential = &syscall.Credential{Uid: u.uid, Gid: u.gid}
	}
	return a
}

// mkdir makes a directory that only the server's user may enter.
func (u sysUser) mkdir(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	return u.give(dir)
}

func (u sysUser) give(path string) error {
	if !u.drop {
		return nil
	}
	return os.Chown(path, int(u.uid), int(u.gid))
}

// canReach checks that the server's user may walk down to dir. Without it
// initdb fails with a message that does not name the directory in the way.
func (u sysUser) canReach(dir string) error {
	if !u.drop {
		return nil
	}
	for d := filepath.Clean(dir); ; d = filepath.Dir(d) {
		fi, err := os.Stat(d)
		if err != nil {
			return noData(dir, err)
		}
		st, ok := fi.Sys().(*syscall.Stat_t)
		mode := fi.Mode().Perm()
		if ok && mode&0o001 == 0 && !(st.Uid == u.uid && mode&0o100 != 0) && !(st.Gid == u.gid && mode&0o010 != 0) {
			return &scheduler.Error{
				Kind: scheduler.Unavailable, Message: fmt.Sprintf("user %s may not enter %s, which leads to the data directory %s", u.name, d, dir),
				Hint: "choose a data directory that this user can reach, for example /var/lib/limbround",
			}
		}
		if d == filepath.Dir(d) {
			return nil
		}
	}
}
