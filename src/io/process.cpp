#include "io/process.hpp"

#include "io/output_file.hpp"

#include <cerrno>
#include <csignal>
#include <fcntl.h>
#include <unistd.h>

namespace trayworth::io {
namespace {

// The default action of the signal follows, once it is let through again.
extern "C" void end_by(int number) {
    remove_unfinished();
    std::raise(number);
}

} // namespace

void hold_standard_streams() {
    for (const int descriptor : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
        if (::fcntl(descriptor, F_GETFD) < 0 && errno == EBADF) {
            const int unfit = descriptor == STDIN_FILENO ? O_WRONLY : O_RDONLY;
            static_cast<void>(::open("/dev/null", unfit)); // takes the lowest that is free
        }
    }
}

void clean_up_on_signals() {
    for (const int number : {SIGHUP, SIGINT, SIGPIPE, SIGTERM}) {
        struct sigaction before {};
        ::sigaction(number, nullptr, &before);
        if (before.sa_handler == SIG_IGN) {
            continue;
        }
        struct sigaction action {};
        action.sa_handler = end_by;
        action.sa_flags = static_cast<int>(SA_RESETHAND);
        sigfillset(&action.sa_mask);
        ::sigaction(number, &action, nullptr);
    }
    std::signal(SIGXFSZ, SIG_IGN);
}

} // namespace trayworth::io
