// Package web is the door of pages: the same use cases that the terminal calls, in a
// browser on this machine or on the phone by the shelf.
//
// The way of a request:
//
//	guard.go    who may ask: host, origin, size, time; and what a page may load
//	server.go   the table of addresses; each leads to one handler
//	NAME.go     handlers of one page: they read words, call app, and choose a template
//	pages/      templates; layout.html is around each, parts.html holds what they share
//	assets/     style, script and icon, under addresses that change with their content
//
// Every page works with scripts off: forms are sent and answered by a redirect to a page
// that can be reloaded. Script (assets/skep.js, and htmx for small swaps) makes it quicker.
//
// A page waits for no forecast: it reads what was last worked out, says when that was, and
// follows when the work behind the pages (Server.Work) is done. A form with data-outbox that
// cannot be sent is kept by the browser and sent later (assets/outbox.js). Whoever wants
// to look around does so in a sample cellar (sample.go), which is thrown away.
//
// A form that writes carries a key made with it. What is sent twice under one key is
// recorded once (app.Cellar.Once), so that a double tap, a reload, or an entry sent late
// from the phone's own outbox makes one event.
//
// Errors: an *app.AskError is shown at the field it names, the form keeping what was
// typed, with status 422; an unknown jug is 404; all else is 500 and says so.
package web
