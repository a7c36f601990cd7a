// Written by build.mjs from package.json.
#pragma once

#define LODEPOLE_VERSION "0.1.0"
