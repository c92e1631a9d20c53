// Package store keeps the record on disk: one SQLite file.
//
//	Open, Close        the file; Open makes it, and brings an older one up to date
//	Append, Events     the events of a jug: added, never changed, on disk when Append returns
//	Jugs, Shelf        jugs and bottles, as their events make them; kept in step by Append
//	SaveOutlook, Stale what was computed from the events; may be thrown away at any time
//	SaveAgenda, Today  what each jug wants, and when
//	Put, Get, All      vessels, own ingredients, plans and settings, by name, as JSON
//	Backup, Check      a copy while in use; is the record whole?
//
// Several programs may have one record open. Writers wait for each other, up to five
// seconds; readers never wait. Times are kept to the millisecond and come back in UTC.
//
// The events are the record (migrations/0001_record.sql); the rest of the tables that
// speak of jugs follow from them (0002_derived.sql). There is no way to delete a jug:
// it is withdrawn, which is an event, and can be undone.
package store
