// Package reference is the register of sources and the published tables that the
// program itself needs, embedded.
//
//	Source, Sources            what a key in a doc comment, as [tanaka2001], stands for, and how far it was read
//	Bottles, BottleKindNamed   what pressure each kind of bottle is trusted with
//	Limits                     what laws allow of sulphur dioxide, sorbic acid and ammonium salts
//
// Tables that methods are only held against, and the program does not need, are in tables.
package reference
