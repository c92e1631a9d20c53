// Package tables holds the tables that Skep's methods are held against: copied from
// outside, embedded once, read by the tests and by skep-lab.
//
//	Read    the rows of a table, by "density/sucrose_crc_20C.csv"
//	Find    the one row of a table that begins with some words
//	About   source and status of a table, or of one of its columns: a line of index.csv
//	Index   every line of index.csv
//
// The program itself computes nothing from these. A table or column that is asked for and
// not there is a programmer's error, and panics.
package tables
