#include "cli/completion.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "cli/options.hpp"

namespace stile::tools {
namespace {

enum class Value { none, words, file, folder, other };

Value value_of(const Option& option) {
  const std::string& value = is_positional(option) ? option.name : option.value;
  if (value.empty()) return Value::none;
  if (value.find('|') != std::string::npos) return Value::words;
  if (value == "DIR") return Value::folder;
  const bool file = value.find("FILE") != std::string::npos || value.find(".toml") != std::string::npos;
  return file || option.reads || option.writes ? Value::file : Value::other;
}

/// "l|pi|t" as "l pi t".
std::string words_of(const Option& option) {
  std::string words = option.value;
  std::replace(words.begin(), words.end(), '|', ' ');
  return words;
}

bool takes_files(const std::vector<Option>& options) {
  return std::any_of(options.begin(), options.end(),
                     [](const Option& o) { return is_positional(o) && value_of(o) == Value::file; });
}

/// One branch of the case over the option before the word; the names are joined by "|".
std::string bash_branch(const std::string& names, const std::string& action) {
  return names.empty() ? "" : fmt::format("    {})\n      {}\n      return ;;\n", names, action);
}

std::string names_of(const std::vector<Option>& options, Value kind) {
  std::string names;
  for (const Option& option : options) {
    if (!is_positional(option) && value_of(option) == kind) names += (names.empty() ? "" : "|") + option.name;
  }
  return names;
}

std::string bash_text(const std::string& tool, const std::vector<Option>& options) {
  const auto offer = [](const std::string& what) {
    return "mapfile -t COMPREPLY < <(compgen " + what + " -- \"$word\")";
  };
  const std::string as_names = "compopt -o filenames 2>/dev/null\n      ";
  std::string function = "_" + tool;
  std::replace(function.begin(), function.end(), '-', '_');
  std::string text = fmt::format("# bash completion of {}; written by {} --completion bash\n{}() {{\n",
                                 version_text(tool), tool, function);
  // "--form=pi" comes as three words.
  text += "  local word=${COMP_WORDS[COMP_CWORD]} option=${COMP_WORDS[COMP_CWORD - 1]}\n"
          "  if [[ $word == = ]]; then\n    word=\n"
          "  elif [[ $option == = ]]; then\n    option=${COMP_WORDS[COMP_CWORD - 2]}\n  fi\n"
          "  COMPREPLY=()\n"
          "  case $option in\n";
  std::string all;
  for (const Option& option : options) {
    if (is_positional(option)) continue;
    all += (all.empty() ? "" : " ") + option.name;
    if (value_of(option) == Value::words) text += bash_branch(option.name, offer("-W \"" + words_of(option) + "\""));
  }
  text += bash_branch(names_of(options, Value::file), as_names + offer("-f"));
  text += bash_branch(names_of(options, Value::folder), as_names + offer("-d"));
  text += bash_branch(names_of(options, Value::other), ":");
  text += "  esac\n  case $word in\n    -*) " + offer("-W \"" + all + "\"") + " ;;\n";
  text += "    *)\n      " + (takes_files(options) ? as_names + offer("-f") : offer("-W \"" + all + "\"")) +
          " ;;\n  esac\n}\n";
  return text + fmt::format("complete -F {} {}\n", function, tool);
}

/// Up to the first semicolon, and short enough for a list.
std::string short_help(const std::string& help) {
  constexpr std::size_t longest = 70;
  std::string text = help.substr(0, help.find("; "));
  if (text.size() > longest) text.erase(std::min(text.size(), text.rfind(' ', longest)));
  return text;
}

std::string fish_quoted(const std::string& text) {
  std::string quoted = "'";
  for (const char c : text) {
    if (c == '\'' || c == '\\') quoted += '\\';
    quoted += c;
  }
  return quoted + "'";
}

std::string fish_text(const std::string& tool, const std::vector<Option>& options) {
  std::string text =
      fmt::format("# fish completion of {}; written by {} --completion fish\n", version_text(tool), tool);
  if (!takes_files(options)) text += fmt::format("complete -c {} -f\n", tool);
  for (const Option& option : options) {
    if (is_positional(option)) continue;
    const bool longer = option.name.rfind("--", 0) == 0;
    std::string line =
        fmt::format("complete -c {} {} {}", tool, longer ? "-l" : "-s", option.name.substr(longer ? 2 : 1));
    switch (value_of(option)) {
    case Value::none:
      break;
    case Value::words:
      line += " -x -a " + fish_quoted(words_of(option));
      break;
    case Value::file:
      line += " -r -F";
      break;
    case Value::folder:
      line += " -x -a '(__fish_complete_directories)'";
      break;
    case Value::other:
      line += " -x";
      break;
    }
    text += line + " -d " + fish_quoted(short_help(option.help)) + "\n";
  }
  return text;
}

}  // namespace

std::string completion_text(const Description& description, std::string_view shell) {
  const std::vector<Option> options = all_options(description);
  if (shell == "bash") return bash_text(description.name, options);
  if (shell == "fish") return fish_text(description.name, options);
  throw UsageError(fmt::format("--completion \"{}\": no such shell; legal: bash fish", shell));
}

}  // namespace stile::tools
