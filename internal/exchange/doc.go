// Package exchange writes what other programs read, and reads a jug back.
//
//	Calendar            what jugs want, as iCalendar (RFC 5545)
//	WriteJug, ReadJug   all that was ever written of a jug, as an open JSON document
package exchange
