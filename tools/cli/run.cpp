#include "cli/run.hpp"

#include <algorithm>
#include <csignal>
#include <cstdio>
#include <exception>
#include <new>

#include <fcntl.h>
#include <unistd.h>

#include <stile/base/errors.hpp>

#include "cli/completion.hpp"
#include "cli/output.hpp"

namespace stile::tools {
namespace {

/// One line of less than 10 kB that no terminal takes for an order, whatever is in the message.
void complain(const std::string& name, const std::string& message) {
  std::string line = shortened(message);
  std::replace_if(
      line.begin(), line.end(), [](char c) { return c == '\n' || c == '\r'; }, ' ');
  std::fprintf(stderr, "%s: %s\n", name.c_str(), printable(line).c_str());
}

/// A standard stream that is closed would be the number of the next file opened, and take what is meant for the stream.
void hold_standard_streams() {
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    if (::fcntl(stream, F_GETFD) < 0) (void)::open("/dev/null", stream == STDERR_FILENO ? O_WRONLY : O_RDONLY);
  }
}

}  // namespace

int run_tool(const Description& description, int argc, const char* const* argv,
             const std::function<std::string(const Arguments&)>& body) {
  hold_standard_streams();
  std::signal(SIGXFSZ, SIG_IGN);  // a file that may not grow further is an error of its write
  try {
    const Arguments arguments = read_command_line(description, argc, argv);
    if (arguments.has("--help")) {
      write_output("-", help_text(description));
      return 0;
    }
    if (arguments.has("--version")) {
      write_output("-", version_text(description.name) + "\n");
      return 0;
    }
    if (const auto shell = arguments.text("--completion")) {
      write_output(arguments.output(), completion_text(description, *shell));
      return 0;
    }
    const std::string reason = body(arguments);
    if (!reason.empty() && !arguments.quiet()) complain(description.name, reason);
    return reason.empty() ? 0 : 1;
  } catch (const ParseErrors& error) {
    for (const ParseError& fault : error.faults) complain(description.name, fault.what());
  } catch (const std::bad_alloc&) {
    complain(description.name, "out of memory; fewer points need less");
  } catch (const std::exception& error) {
    complain(description.name, error.what());
  }
  return 2;
}

void warn(const Description& description, const Arguments& arguments, const std::string& message) {
  if (!arguments.quiet()) complain(description.name, "warning: " + message);
}

}  // namespace stile::tools
