//go:build unix

package child

import (
	"os/exec"
	"syscall"
)

// OwnGroup puts the child into a process group of its own.
func OwnGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// KillGroup kills the child and whatever it started.
func KillGroup(cmd *exec.Cmd) {
	if cmd.Process.Signal(syscall.Signal(0)) != nil {
		return // waited for: the number may belong to somebody else by now
	}
	_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) // it may be gone already
	_ = cmd.Process.Kill()
}

// KillRest kills what a child that has ended left running; it is called only when
// something of its group is known to live, so that the number is still theirs.
func KillRest(cmd *exec.Cmd) { _ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
