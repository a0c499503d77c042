//go:build cgo && unix

// libjack, and the JACK clients of this process: none is opened before all those of a server that has gone are closed.

#include "jack.h"

#include <dlfcn.h>
#include <stdatomic.h>

enum { no_start_server = 1 };

struct jack_functions jack;

static int loaded;

static void say_nothing(const char *message) { (void)message; }

static void load(void) {
	const char *const libraries[] = {"libjack.so.0", "libjack.so", "libjack.0.dylib"};
	void *library = NULL;
	for (unsigned i = 0; library == NULL && i < sizeof libraries / sizeof *libraries; i++)
		library = dlopen(libraries[i], RTLD_NOW | RTLD_GLOBAL);
	if (library == NULL)
		return;
#define FIND(name) if ((*(void **)&jack.name = dlsym(library, "jack_" #name)) == NULL) return
	FIND(client_open);
	FIND(client_close);
	FIND(activate);
	FIND(get_sample_rate);
	FIND(get_buffer_size);
	FIND(get_time);
	FIND(get_ports);
	FIND(free);
	FIND(port_by_name);
	FIND(port_flags);
	FIND(port_name);
	FIND(port_get_latency_range);
	FIND(port_register);
	FIND(port_unregister);
	FIND(port_set_alias);
	FIND(port_get_buffer);
	FIND(connect);
	FIND(midi_get_event_count);
	FIND(midi_event_get);
	FIND(set_process_callback);
	FIND(set_xrun_callback);
	FIND(on_shutdown);
	FIND(is_realtime);
	FIND(client_real_time_priority);
	FIND(client_create_thread);
	FIND(set_error_function);
	FIND(set_info_function);
#undef FIND
	jack.set_error_function(say_nothing); // else every look for a server that is not there prints lines
	jack.set_info_function(say_nothing);
	loaded = 1;
}

static pthread_mutex_t opening = PTHREAD_MUTEX_INITIALIZER;
static atomic_int held, gone;

jack_client *jack_open(const char *name) {
	static pthread_once_t once = PTHREAD_ONCE_INIT;
	pthread_once(&once, load);
	if (!loaded)
		return NULL;
	jack_client *client = NULL;
	int status = 0;
	pthread_mutex_lock(&opening);
	if (atomic_load(&held) == 0)
		atomic_store(&gone, 0);
	if (!atomic_load(&gone) && (client = jack.client_open(name, no_start_server, &status)) != NULL)
		atomic_fetch_add(&held, 1);
	pthread_mutex_unlock(&opening);
	return client;
}

void jack_server_gone(void) { atomic_store(&gone, 1); }

void jack_close(jack_client *client) {
	jack.client_close(client);
	atomic_fetch_sub(&held, 1);
}
