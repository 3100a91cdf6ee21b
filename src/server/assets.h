// The files of the page as the executable carries them: a table of names and bytes, nothing else is
// ever served, so no request can name a file of the disk.
#pragma once

#include <span>
#include <string_view>

namespace runtrue {

struct Asset {
  std::string_view path;   // as requested, from the root: "/assets/index-3f2a.js"; "/" is the page
  std::string_view mime;   // with charset where it is text
  std::string_view etag;   // quoted, of the plain bytes
  std::string_view plain;  // the file
  std::string_view gzip;   // the same compressed; empty where that gains nothing
  bool named_by_content;   // the name changes with the bytes: may be kept for good
};

// The table built into the executable by cmake/Embed.cmake (library runtrue_page; tests pass their
// own instead of linking it).
[[nodiscard]] std::span<const Asset> page_assets();

}  // namespace runtrue
