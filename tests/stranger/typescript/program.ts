// A first hour with the API in TypeScript: what must have its type, and what must not be taken.
import createClient from "openapi-fetch";
import type { components, paths } from "./gramil";

const client = createClient<paths>({ baseUrl: "http://testserver" });

export async function quoteFor(client_id: number, template: number): Promise<string[]> {
  const made = await client.POST("/api/v1/quotes/", { body: { client: client_id, template } });
  if (made.error) throw new Error(made.error.detail);
  const where = { params: { path: { id: made.data.id } } };
  const price = await client.GET("/api/v1/quotes/{id}/price/", where);
  return price.data!.parts.map((part) => part.amount);
}

export async function keepUpToDate(
  rows: Map<number, components["schemas"]["Material"]>, since?: string,
): Promise<string> {
  const { data } = await client.GET("/api/v1/materials/changed/", {
    params: { query: { since, is_archived: false } },
  });
  if (data!.is_whole) rows.clear();
  for (const row of data!.changed) rows.set(row.id, row);
  for (const key of data!.gone) rows.delete(key);
  return data!.cursor;
}

export async function clockIn(build: number, stage: number, at: string) {
  return client.POST("/api/v1/clock/start/", {
    params: { header: { "Idempotency-Key": "k-1", "Device-Time": at } },
    body: { at, work: [{ build, stage }] },
  });
}

export async function nextPage(): Promise<string | null> {
  const open = { params: { query: { open: true } } };
  return (await client.GET("/api/v1/builds/", open)).data!.next;
}

export async function refused() {
  // @ts-expect-error a share is text, 0.20 for 20 %
  await client.POST("/api/v1/pricing-policy/", { body: { tax_rate: 9 } });
  // @ts-expect-error a piece goes by its number
  await client.GET("/api/v1/pieces/{number}/", { params: { path: { number: 412 } } });
  // @ts-expect-error what is edited needs the version that was read
  await client.PATCH("/api/v1/places/{id}/", { params: { path: { id: 1 } }, body: { name: "A" } });
}
