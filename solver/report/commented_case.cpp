#include "report/commented_case.hpp"

#include <algorithm>
#include <set>
#include <sstream>
#include <stdexcept>

#include "report/wrapped_text.hpp"

namespace dryfront {

namespace {

// Where a line that ends in a value begins with a key: "radius_mm = 6", "grid.fine_mm = 0.1".
std::string key_of(const std::string& line) {
  const std::size_t equals = line.find(" = ");
  if (equals == std::string::npos || line.front() == ' ' || line.front() == '#') return "";
  std::string key;
  for (const char letter : line.substr(0, equals)) {
    if (letter != '"') key += letter;
  }
  return key;
}

// "mode.waveform" of "[mode.waveform]" and "[[mode.waveform]]"; empty where the line is no head.
std::string head_of(const std::string& line) {
  if (line.empty() || line.front() != '[') return "";
  const std::size_t begin = line.find_first_not_of('[');
  return line.substr(begin, line.find(']') - begin);
}

std::string comment(const std::string& text) {
  std::istringstream lines(wrapped(text));
  std::string out, line;
  while (std::getline(lines, line)) out += "# " + line + "\n";
  return out;
}

std::string default_words(const KeyInfo& key) {
  if (key.default_text.empty()) return "";
  return key.default_text.starts_with("required") ? key.default_text : "default " + key.default_text;
}

std::string meaning_of(const KeyInfo& key) {
  const std::string otherwise = default_words(key);
  return key.meaning + "; " + allowed_text(key) + (otherwise.empty() ? "" : "; " + otherwise);
}

class Commenter {
 public:
  Commenter(std::span<const Section> sections, std::span<const Section> others)
      : sections_(sections), others_(others) {}

  std::string text(std::string_view bare) {
    enter("");
    std::istringstream lines{std::string(bare)};
    std::string line;
    while (std::getline(lines, line)) add(line);
    leave();
    std::string absent;
    for (const Section& section : sections_) {
      if (!seen_.contains(section.path)) absent += (absent.empty() ? "" : ", ") + section.heading;
    }
    if (!absent.empty()) out_ += '\n' + comment("Further sections: " + absent + ". dryfront keys lists their keys.");
    return out_;
  }

 private:
  void add(const std::string& line) {
    const std::string head = head_of(line), key = key_of(line);
    if (!head.empty()) {
      leave();
      enter(head);
      if (!seen_.contains(section_->path)) out_ += comment(section_->meaning);
    } else if (!key.empty()) {
      explain(key);
    }
    out_ += line + '\n';
  }

  void enter(const std::string& path) {
    section_ = &find(sections_, path);
    stated_.clear();
  }

  // The table of a section, for [tissue.NAME] and [axis.NAME] that of all names.
  static const Section& find(std::span<const Section> among, const std::string& path) {
    for (const std::string& wanted : {path, path.substr(0, path.rfind('.'))}) {
      const auto found =
          std::find_if(among.begin(), among.end(), [&](const Section& section) { return section.path == wanted; });
      if (found != among.end()) return *found;
    }
    throw std::logic_error("no section '" + path + "' in the table of keys");
  }

  void explain(const std::string& key) {
    stated_.insert(key);
    if (!explained_.insert(section_->path + "." + key).second) return;
    out_ += comment(meaning_of(info(key)));
  }

  const KeyInfo& info(const std::string& key) const {
    const std::size_t dot = key.rfind('.');
    std::string path = dot == std::string::npos ? "" : key.substr(0, dot);
    if (const std::size_t any = path.find(".*"); any != std::string::npos) path.erase(any, 2);
    const Section& section = dot == std::string::npos ? *section_ : find(others_, path);
    const std::string name = dot == std::string::npos ? key : key.substr(dot + 1);
    for (const KeyInfo& known : section.keys) {
      if (known.name == name) return known;
    }
    throw std::logic_error("no key '" + key + "' in section '" + section.path + "'");
  }

  // Behind the last line of the section that holds something, once.
  void leave() {
    if (!seen_.insert(section_->path).second) return;
    std::string others;
    for (const KeyInfo& key : section_->keys) {
      const bool is_section = key.kind == KeyKind::table || (section_->path.empty() && key.kind == KeyKind::tables);
      if (stated_.contains(key.name) || is_section) continue;
      const std::string otherwise = default_words(key);
      others += (others.empty() ? "" : ", ") + key.name + (otherwise.empty() ? "" : " (" + otherwise + ")");
    }
    if (others.empty()) return;
    const std::size_t end = out_.find_last_not_of('\n');
    const std::size_t kept = end == std::string::npos ? 0 : std::min(end + 2, out_.size());
    out_.insert(kept, comment("Further keys: " + others + "."));
  }

  std::span<const Section> sections_, others_;
  const Section* section_ = nullptr;
  std::set<std::string> seen_;       // paths of sections whose keys are all told
  std::set<std::string> explained_;  // paths of keys
  std::set<std::string> stated_;     // keys of this section
  std::string out_;
};

}  // namespace

std::string commented_case(std::string_view bare, std::span<const Section> sections, std::span<const Section> others) {
  return Commenter(sections, others).text(bare);
}

}  // namespace dryfront
