//go:build !unix

package child

import "os/exec"

// OwnGroup does nothing: there are no process groups.
func OwnGroup(*exec.Cmd) {}

// KillGroup kills the child alone.
func KillGroup(cmd *exec.Cmd) { _ = cmd.Process.Kill() } // it may be gone already

// KillRest does nothing: what the child left running is not known.
func KillRest(*exec.Cmd) {}
