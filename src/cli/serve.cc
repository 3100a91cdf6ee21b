// `runtrue serve`: the page for the set.
#include "server/serve.h"

#include <iostream>

#include "cli/commands.h"

namespace runtrue {

Result<Answer> run(const ServeArguments& arguments, Inputs&) {
  const ServeOptions options{arguments.data_file, arguments.port, arguments.lan, arguments.page};
  if (auto served = serve(options, std::cout); !served) {
    return tl::unexpected(std::move(served).error());
  }
  return Answer{};
}

}  // namespace runtrue
