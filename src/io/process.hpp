// What a process owes to the files it leaves behind, whatever happens to it.
#pragma once

namespace trayworth::io {

// Sees to it that descriptors 0 to 2 are taken, so that no file that is opened later is mistaken
// for a standard stream that was closed. Reading or writing such a stream fails.
void hold_standard_streams();

// Removes unfinished files before a signal ends the process, and makes a file that grows beyond the
// user's limit a write error. Signals that are ignored stay so.
void clean_up_on_signals();

} // namespace trayworth::io
