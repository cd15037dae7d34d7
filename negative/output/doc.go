// Package output writes files that are either complete under their own name or
// not there at all.
//
// What is written goes to a temporary file in the same folder; Commit syncs it
// and gives it its name, Abort removes it. A file that exists is never replaced
// unless Options.Force says so, and an input is never replaced at all, whether
// it is named directly, through a symbolic link or by another hard link. Devices,
// pipes and folders are refused as targets.
//
// A killed program leaves at most a file ".actinic-*.tmp", never a part of a
// file under a final name. The next one that writes to the folder removes it,
// where locks tell that no running program holds it.
//
// Start reading at Create; Set is for several files that belong together.
package output
