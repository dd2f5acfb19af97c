#include "cli/run.hpp"

#include <algorithm>
#include <cstdio>
#include <exception>
#include <new>

#include <stile/base/errors.hpp>

#include "cli/output.hpp"

namespace stile::tools {
namespace {

/// One line, whatever is in the message.
void complain(const std::string& name, std::string message) {
  std::replace_if(
      message.begin(), message.end(), [](char c) { return c == '\n' || c == '\r'; }, ' ');
  std::fprintf(stderr, "%s: %s\n", name.c_str(), message.c_str());
}

}  // namespace

int run_tool(const Description& description, int argc, const char* const* argv,
             const std::function<std::string(const Arguments&)>& body) {
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
