/* Arrays on the heap that grow as they are filled. */
#ifndef AP_BASE_GROW_H
#define AP_BASE_GROW_H

#include <stddef.h>

/* Room for more items of `size` bytes: `first` of them, later half as much again. Sets *room and returns where the items are now; NULL when
 * memory is out: then both are as they were. */
void *ap_grown(void *items, size_t *room, size_t first, size_t size);
/* Room for items[index]; the new ones are zero bytes. NULL as above. */
void *ap_grown_to(void *items, size_t *room, size_t index, size_t size);

#endif
