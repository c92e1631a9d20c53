// Package app holds the use cases: one method of Cellar for each thing a person wants
// done, in the words they said it in.
//
// A request carries kitchen words ("2 1/2 cups honey", "yesterday evening"); app
// understands them by the maker's unit system, checks them against what the record
// holds, writes events, and answers with results that every door can show: numbers as
// measure.Range, dates as time.Time, sentences as text. Doors parse flags and forms and
// render; they compute nothing.
//
//	Plan, Sheet                       what the jug can become, and brew day step by step
//	Start, Look, Add, Rack, …         what was done and seen, as events
//	Stand, MayBottle, Today           what it means
//	History, Correct, Withdraw        the record itself
//	package calc                      single questions, without a cellar
package app
