// Package exchange writes what other programs read.
//
//	Calendar   what jugs want, as iCalendar (RFC 5545)
package exchange
