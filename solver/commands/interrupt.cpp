#include "commands/interrupt.hpp"

#include <signal.h>

namespace dryfront {
namespace {

// A signal handler can reach nothing else than what lives at file scope.
std::atomic<bool> stop_wanted{false};
std::atomic<int> arrived{0};
static_assert(std::atomic<bool>::is_always_lock_free && std::atomic<int>::is_always_lock_free);

extern "C" void note_signal(int number) {
  arrived = number;
  stop_wanted = true;
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
}

InterruptGuard::~InterruptGuard() {
  for (const int number : {SIGINT, SIGTERM}) handle(number, SIG_DFL, 0);
}

const std::atomic<bool>& InterruptGuard::stop() const { return stop_wanted; }
void InterruptGuard::request_stop() { stop_wanted = true; }
int InterruptGuard::signal() const { return arrived; }

}  // namespace dryfront
