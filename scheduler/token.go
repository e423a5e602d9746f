package scheduler

import "time"

// Role says what a signed-in person may do.
type Role string

// The roles.
const (
	RoleManager    Role = "manager"
	RoleDispatcher Role = "dispatcher"
	RoleAnalyst    Role = "analyst"
	RoleCrew       Role = "crew"
)

// Valid reports whether the role is one of the four.
func (r Role) Valid() bool {
	switch r {
	case RoleManager, RoleDispatcher, RoleAnalyst, RoleCrew:
		return true
	}
	return false
}

// Token describes a bearer token; its secret is shown once, when it is made.
type Token struct {
	ID        string     `json:"id"` // start of its hash, enough to revoke it by
	Actor     string     `json:"actor"`
	Role      Role       `json:"role"`
	MadeAt    time.Time  `json:"made_at"`
	ExpiresAt *time.Time `json:"expires_at,omitempty"`
}
