#pragma once
#include <stddef.h>

extern "C" {
void *memcpy(void *to, const void *from, size_t size);
int memcmp(const void *a, const void *b, size_t size);
int strcmp(const char *a, const char *b);
int strncmp(const char *a, const char *b, size_t size);
size_t strlen(const char *text);
}
