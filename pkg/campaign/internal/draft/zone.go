package draft

import (
	"fmt"
	"strings"
	"time"
)

// CheckZone accepts "+01:00", "UTC" and names such as "Europe/Berlin"; it
// fails at anything else and says what to write.
func CheckZone(s string) error {
	if s == "UTC" {
		return nil
	}
	if _, err := time.Parse("-07:00", s); err == nil {
		return nil
	}
	if strings.Contains(s, "/") {
		if _, err := time.LoadLocation(s); err == nil {
			return nil
		}
	}
	return fmt.Errorf("%q is not a time zone; write the clock's distance from UTC, \"+01:00\", or \"UTC\", or a place such as \"Europe/Berlin\"", s)
}
