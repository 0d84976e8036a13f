#include "commands/interrupt.hpp"

#include <signal.h>
#include <unistd.h>

#include "commands/command.hpp"

namespace dryfront {
namespace {

// A signal handler can reach nothing else than what lives at file scope.
std::atomic<bool> stop_wanted{false};
std::atomic<int> arrived{0};
static_assert(std::atomic<bool>::is_always_lock_free && std::atomic<int>::is_always_lock_free);

constexpr unsigned patience = 10;  // [s]

extern "C" void note_signal(int number) {
  arrived = number;
  stop_wanted = true;
  ::alarm(patience);
}

// What hangs (in a library that waits for memory, on a disk that does not answer) would never look at the flag.
extern "C" void give_up(int) {
  constexpr char message[] = "ended by force: the program did not stop within 10 s of the signal\n";
  [[maybe_unused]] const ssize_t told = ::write(STDERR_FILENO, message, sizeof message - 1);
  ::_exit(exit_of_signal(arrived));
}

void handle(int number, void (*handler)(int), int flags) {
  struct sigaction action {};
  action.sa_handler = handler;
  action.sa_flags = flags;
  sigemptyset(&action.sa_mask);
  sigaction(number, &action, nullptr);
}

}  // namespace

InterruptGuard::InterruptGuard() {
  stop_wanted = false;
  arrived = 0;
  for (const int number : {SIGINT, SIGTERM}) handle(number, note_signal, static_cast<int>(SA_RESTART | SA_RESETHAND));
  handle(SIGALRM, give_up, SA_RESTART);
}

InterruptGuard::~InterruptGuard() {
  ::alarm(0);
  for (const int number : {SIGINT, SIGTERM, SIGALRM}) handle(number, SIG_DFL, 0);
}

const std::atomic<bool>& InterruptGuard::stop() const { return stop_wanted; }
void InterruptGuard::request_stop() { stop_wanted = true; }
int InterruptGuard::signal() const { return arrived; }

}  // namespace dryfront
